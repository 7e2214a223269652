"""The work at hand as a person taps through it, on a phone."""

from datetime import UTC, datetime, timedelta

from playwright.sync_api import Page, expect


def job(page: Page) -> str:
    """The heading of the next job."""
    return page.locator("#job").inner_text()


def log_it(page: Page) -> None:
    """Two taps: the main action, and that it is so."""
    page.locator("summary.go").tap()
    page.get_by_role("button", name="Log it").tap()
    expect(page.locator("#said [data-words]")).to_be_visible()


def test_jobs_are_logged_in_two_taps_and_struck_out(phone, served):
    """The card of the next job is there at once; what was struck out is left to do again."""
    phone.goto(f"/v/{served.demo}/")
    if "Stand it" in job(phone):  # unless a test before this one did
        phone.locator("summary.go").tap()
        phone.get_by_label("Rocked it").check()
        phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#job")).not_to_contain_text("Stand it")
    first = job(phone)
    log_it(phone)
    expect(phone.locator("#job")).not_to_have_text(first)
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")
    phone.get_by_role("link", name="Other…").tap()
    left_again = phone.locator(".lines").get_by_text(first.partition(" ")[2])
    for _ in range(60):  # the plan of the moment before may have come meanwhile: until it is anew
        if left_again.count():
            break
        phone.wait_for_timeout(500)
        phone.reload()
    expect(left_again.first).to_be_visible()

    phone.goto(f"/v/{served.demo}/stuck?joint=J053")
    phone.get_by_label("Soaked in penetrating oil").check()
    phone.get_by_role("button", name="leave it till then").tap()
    expect(phone.locator("#said")).to_contain_text("stuck")
    expect(phone.locator("#job")).to_be_visible()

    phone.get_by_role("link", name="Not now").tap()
    phone.get_by_label("No helper").check()
    phone.get_by_role("button", name="Put it off").tap()
    expect(phone.locator("#said")).to_contain_text("no helper")

    phone.get_by_role("link", name="Other…").tap()
    phone.locator(".lines a").last.tap()
    expect(phone.locator("#job")).to_be_visible()
    expect(phone.get_by_text("You picked")).to_be_visible()


def test_a_line_is_typed_with_what_is_offered_and_the_other_side_follows(phone, served):
    """A tap puts a name into the line; the page says what it would log before it does."""
    phone.goto(f"/v/{served.demo}/say")
    phone.get_by_label("A line").press_sequentially("undone rear hub shaft left")
    phone.get_by_role("button", name="rear hub on half shaft, left").tap()
    expect(phone.locator("#understood")).to_contain_text("Undid rear hub on half shaft, left")
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#said")).to_contain_text("Undid rear hub on half shaft, left")
    phone.get_by_role("link", name="Same on the other side").tap()
    phone.get_by_role("button", name="One less").tap()
    phone.get_by_role("button", name="Log it for this side").tap()
    expect(phone.locator("#said")).to_contain_text("rear hub on half shaft, right")


def test_a_day_is_caught_up_and_the_bench_packed_up(phone, served):
    """Lines are put in order by their buttons; ticks are counted."""
    phone.goto(f"/v/{served.demo}/catch-up")
    lines = phone.locator("[data-order] li .what")
    first = lines.nth(0).inner_text()
    phone.get_by_role("button", name="Later:").first.tap()
    expect(lines.nth(1)).to_have_text(first)
    yesterday = (datetime.now(UTC) - timedelta(days=1)).date()
    phone.get_by_label("Day", exact=True).fill(yesterday.isoformat())
    phone.locator("[data-order] select").nth(0).select_option("not recorded")
    phone.get_by_role("button", name="Log these days").tap()
    expect(phone.locator("#said [data-words]")).to_be_visible()

    phone.get_by_role("link", name="Pack up").tap()
    expect(phone.locator("[data-ticked]")).to_contain_text("0 of")
    phone.locator("[data-tick]").first.check()
    expect(phone.locator("[data-ticked]")).to_contain_text("1 of")
    phone.reload()
    expect(phone.locator("[data-ticked]")).to_contain_text("1 of")


def test_an_empty_vehicle_takes_what_came_off_by_name(phone, served):
    """Three names and a tap, struck out by another; then a plan for the way back is there."""
    phone.goto(f"/v/{served.empty}/")
    phone.get_by_label("Came off").fill("radiator")
    phone.get_by_label("And then").first.fill("fan")
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#said")).to_contain_text("Took off fan.")
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")
