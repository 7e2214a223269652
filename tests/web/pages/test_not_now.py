"""Not now: another job stands on the page at once."""

import re
from urllib.parse import unquote

from tests.web.pages.test_work import page_of, planned
from tests.web.site import WORKER


def test_not_now_shows_another_job_at_once(site):
    """The plan made before begins with it still; where nothing else can be done, it is said."""
    logbook, client = planned(site, stands="stands"), site.browser(WORKER)
    joints = ["hub to frame, left", "hub to frame, right", "tank-frame"]
    seen = []
    for _ in joints:
        told = page_of(client, logbook)
        assert "nothing else of the plan" not in told
        seen.append(re.search(r'what=joint:([^"]+)"', unquote(told))[1])
        said = {"1.kind": "put off", "1.what": f"joint:{seen[-1]}", "1.why": "not today"}
        assert client.post(f"/v/{logbook}/log", said).status_code == 302
    assert sorted(seen) == joints
    assert "nothing else of the plan can be done now" in page_of(client, logbook)
