"""Paper that takes long, in a real browser: it tells how far it is, is stopped, and is fetched."""

from pypdf import PdfReader

from tests.browser.conftest import shuts_out


def test_a_history_file_is_stopped_made_and_downloaded(phone, served, tmp_path):
    """The page need not be loaded anew for any of it; the demo's takes a few seconds."""
    made = ordered(phone, served.demo)
    made.get_by_role("button", name="Stop").tap()
    made.get_by_text("It was stopped").wait_for()
    made = ordered(phone, served.empty)
    link = made.get_by_role("link", name="Download it")
    link.wait_for(timeout=60_000)
    assert shuts_out(phone) == []
    with phone.expect_download() as coming:
        link.tap()
    assert coming.value.suggested_filename == "old-dunlin-history.pdf"
    coming.value.save_as(tmp_path / "history.pdf")
    assert "History file" in PdfReader(tmp_path / "history.pdf").pages[0].extract_text()


def ordered(phone, vehicle):
    """Order it on the page; gives where the page tells of it."""
    phone.goto(f"/v/{vehicle}/paper")
    phone.locator("summary", has_text="History file").tap()
    phone.get_by_role("form", name="History file").get_by_role("button", name="Make it").tap()
    made = phone.locator("#made")
    made.get_by_role("progressbar", name="How far it is").wait_for()
    return made
