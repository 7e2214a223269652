"""What the pages of a test that failed were showing: a browser that is gone tells nothing more."""

from collections.abc import Iterable, Iterator

from playwright.sync_api import BrowserContext, Error, Locator, Page

MOST_WORDS = 1_500
"""Of one page: its first, where a page says what it is about."""
MOST_SAID = 8
"""Lines of the console: the last."""
PATIENCE_MS = 2_000
QUEUED = """wait_ms => new Promise((done) => {
  setTimeout(done, wait_ms, ["the queue cannot be read"]);
  const asked = indexedDB.open("putback");
  asked.onupgradeneeded = () => asked.transaction.abort();  // nothing was kept
  asked.onerror = () => done(["no queue"]);
  asked.onsuccess = () => {
    const kept = asked.result.transaction(["queued", "me"]);
    const all = kept.objectStore("queued").getAll();
    const halted = kept.objectStore("me").get("halted");
    kept.oncomplete = () => {
      asked.result.close();
      const told = all.result.map(({ state, sentences, said, reason, saved_at }) => {
        const words = sentences.join(" ") || JSON.stringify(said);
        const saved = saved_at ? ", saved as a file" : "";
        return `queued, ${state}${saved}: ${words} ${reason?.message ?? ""}`;
      });
      done([`queued: ${told.length}, held up: ${halted.result?.message ?? "no"}`, ...told]);
    };
  };
})"""


def pages_in(values: Iterable[object]) -> list[Page]:
    """The pages among some values, or that a value is of, and all that lie beside them."""
    contexts: dict[BrowserContext, None] = {}
    for value in values:
        page = value.page if isinstance(value, Locator) else value
        context = page.context if isinstance(page, Page) else page
        if isinstance(context, BrowserContext):
            contexts[context] = None
    return [page for context in contexts for page in context.pages]


def shown(pages: Iterable[Page]) -> str:
    """What pages show, keep queued, and said that went wrong, in a few lines each."""
    return "\n\n".join("\n".join(_told_by(page)) for page in pages)


def _told_by(page: Page) -> Iterator[str]:
    yield page.url
    try:
        body = page.locator("body").inner_text(timeout=PATIENCE_MS)
        words = "\n".join(line for line in body.splitlines() if line.strip())
        yield words[:MOST_WORDS] + (" ..." if len(words) > MOST_WORDS else "")
        yield from page.evaluate(QUEUED, PATIENCE_MS)
        said = [f"{each.type}: {each.text}" for each in page.console_messages()]
        said += [f"thrown: {each}" for each in page.page_errors()]
        yield from said[-MOST_SAID:]
    except Error as error:
        yield f"It tells no more: {error.message.partition(chr(10))[0]}"
