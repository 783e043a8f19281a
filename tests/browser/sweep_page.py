"""The page of a sweep: a click on what stands for a row opens its card with its picture; nothing is asked of a network."""

import json

import report_page

# Middle of the first element that a selector finds, scrolled into view.
MIDDLE = """(() => { const e = document.querySelector(%s); e.scrollIntoView({block: 'center'});
 const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()"""
# The card that can be seen: its id, and width and brightness spread of its picture as drawn (0 where it has none).
OPEN = """(() => { const c = [...document.querySelectorAll('.card')].filter((e) => getComputedStyle(e).display !== 'none');
 if (c.length > 1) return 'several'; if (c.length === 0) return null; const i = c[0].querySelector('img');
 return [c[0].id, i ? i.naturalWidth : 0]; })()"""


def opened(page, address, width=1200, height=900, **more):
    page.size(width, height, **more)
    page.logged.clear()
    page.asked.clear()
    page.send("Page.navigate", url="about:blank")
    page.send("Page.navigate", url=address)
    page.wait("document.readyState === 'complete' && document.querySelector('.card') !== null")


def middle(page, selector):
    return page.js(MIDDLE % json.dumps(selector))


def a_click_shows_the_row(page, address):
    """From the band of all checks, from a band of one check, from the table: each opens the card of its row."""
    opened(page, address)
    assert page.js(OPEN) is None, "no card is open at first"
    seen = []
    for selector in ("figure a[href='#row-0'] rect", "figure a[href='#row-4'][tabindex='-1'] rect", "td a[href^='#row-']"):
        wanted = page.js(f"document.querySelector({json.dumps(selector)}).closest('a').getAttribute('href').slice(1)")
        page.js("location.hash = '#closed'")  # An open card may lie over what is clicked next.
        page.click(*middle(page, selector))
        page.wait(f"location.hash === '#{wanted}'")
        identity, width = page.js(OPEN)
        assert identity == wanted, f"{selector}: {identity}, not {wanted}"
        assert width == 720, f"the picture of {wanted} is {width} wide"
        seen.append(page.js("document.querySelector('.card:target img').src"))
    assert seen[0] != seen[1], "rows with different values have different pictures"
    assert not page.logged, page.logged
    outside = [url for url in page.asked if not url.startswith(("file:", "data:", "about:"))]
    assert not outside, outside


def hover_gives_the_row(page, address):
    """What lies under the pointer, on cells of the bands and dots of the plots, tells the row that a click would open."""
    opened(page, address)
    for selector in ("figure.bands a[href^='#row-'] rect", "svg.plot a[href^='#row-'] rect, svg.plot a[href^='#row-'] circle"):
        count = page.js(f"document.querySelectorAll({json.dumps(selector)}).length")
        assert count >= 4, f"{selector}: {count}"
        for number in sorted({0, 1, count // 2, count - 1}):
            x, y = page.js("(() => { const e = document.querySelectorAll(%s)[%d]; e.scrollIntoView({block: 'center'});"
                           " const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()" % (json.dumps(selector), number))
            told, row = page.js(f"(() => {{ const e = document.elementFromPoint({x}, {y}); const a = e.closest('a');"
                                " return [e.closest('a').querySelector('title').textContent, a.getAttribute('href').slice(5)]; })()")
            assert told.endswith(f"row {row}"), f"{told}: row {row}"


def keys_step_and_close(page, address):
    """Tab reaches the cells of the first band; Enter opens; the card's links lead on and close without a jump."""
    opened(page, address)
    page.js("document.querySelector(\"figure a[href='#row-0']\").focus()")
    page.js("document.activeElement.dispatchEvent(new MouseEvent('click', {bubbles: true}))")
    page.wait("location.hash === '#row-0'")
    before = page.js("scrollY")
    page.js("[...document.querySelectorAll('.card:target nav a')].find((a) => a.textContent === 'Next row').click()")
    page.wait("location.hash === '#row-1'")
    assert page.js(OPEN)[0] == "row-1"
    page.js("[...document.querySelectorAll('.card:target nav a')].find((a) => a.textContent === 'Close').click()")
    page.wait("location.hash === '#closed'")
    assert page.js(OPEN) is None, "closed"
    assert abs(page.js("scrollY") - before) < 2, "the page stays where it was"


def escape_closes_a_card(page, address):
    """Escape closes the card, leaves the page where it is, and goes back to what opened it; without a card it does nothing."""
    opened(page, address)
    page.key("Escape")
    assert page.js("location.hash") == "", "nothing to close"
    page.click(*middle(page, "figure a[href='#row-0'] rect"))
    page.wait("location.hash === '#row-0'")
    before = page.js("scrollY")
    page.key("Escape")
    page.wait("location.hash === '#closed'")
    assert page.js(OPEN) is None, "closed"
    assert abs(page.js("scrollY") - before) < 2, "the page stays where it was"
    assert page.js("document.activeElement.getAttribute('href')") == "#row-0", "back at the cell"


def plots_lead_to_rows(page, address):
    """A click on a dot of a large plot and on a cell of a map opens the card of its row, whose values have their units."""
    opened(page, address)
    kinds = page.js("[...document.querySelectorAll('svg.plot')].map((s) => s.querySelectorAll('a[href^=\"#row-\"]').length)")
    assert len(kinds) >= 3 and all(kinds), f"links on the plots: {kinds}"
    for number in range(len(kinds)):
        selector = "svg.plot a[href^='#row-'] rect"
        place = page.js("(() => { const s = document.querySelectorAll('svg.plot')[%d]; const e = [...s.querySelectorAll(%s)].at(-1);"
                        " e.scrollIntoView({block: 'center'}); const r = e.getBoundingClientRect();"
                        " return [r.x + r.width / 2, r.y + r.height / 2, e.closest('a').getAttribute('href')]; })()"
                        % (number, json.dumps(selector.split(" ", 1)[1])))
        page.js("location.hash = '#closed'")
        page.click(*place[:2])
        page.wait(f"location.hash === '{place[2]}'")
        head = page.js("document.querySelector('.card:target strong').textContent")
        assert head.count(" mm") == 2, f"values with units: {head}"
        page.key("Escape")


def fits_and_is_accessible(page, address):
    """axe-core finds nothing, with a card open, at a desk and on a phone, light and dark; the card stays within the window."""
    grounds = set()
    for width, height, touch, dark in [(*size, dark) for size in report_page.WIDTHS for dark in (False, True)]:
        opened(page, address, width, height, touch=touch, dark=dark)
        grounds.add(page.js("getComputedStyle(document.body).backgroundColor"))
        page.js("location.hash = '#row-0'")
        page.wait("document.querySelector('.card:target') !== null")
        box = page.js("(() => { const r = document.querySelector('.card:target').getBoundingClientRect();"
                      " return [r.left, r.top, r.right, r.bottom]; })()")
        assert box[0] >= 0 and box[1] >= 0 and box[2] <= width and box[3] <= height, f"{width}: {box}"
        page.js(report_page.AXE.read_text(encoding="utf-8"))
        found = page.js("axe.run().then((r) => r.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 120)}`))")
        assert not found, f"{width}: {found}"
    assert len(grounds) == 2, f"light and dark differ: {grounds}"


CHECKS = (a_click_shows_the_row, hover_gives_the_row, keys_step_and_close, escape_closes_a_card, fits_and_is_accessible)
OF_TWO_AXES = (plots_lead_to_rows, fits_and_is_accessible)


def pictures(page, address, folder):
    """Keeps pictures of the page, for looking at."""
    for name, size, dark in (("wide", (1200, 900), False), ("phone", (390, 844), False), ("dark", (1200, 900), True)):
        opened(page, address, *size, dark=dark)
        middle(page, "figure")
        page.js("location.hash = '#row-4'")
        (folder / f"sweep_{name}.png").write_bytes(page.picture())
