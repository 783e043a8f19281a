"""What a reader does with the page of a report. Each check opens the page anew; pictures are compared as pixels."""

import io
import json
from pathlib import Path

import axe_core_python
import numpy as np
from PIL import Image, ImageChops, ImageFilter

AXE = Path(axe_core_python.__file__).parent / "axe.min.js"
CUT = np.array([0.86, 0.52, 0.34]) * 255  # of cut metal, as renderer.js has it; its darker stripes have the same hue
WIDTHS = ((1400, 900, False), (900, 1000, False), (390, 844, True))


def canvas(page):
    """Place and size of the view, in pixels of the window."""
    return page.js("(() => { const r = document.getElementById('canvas').getBoundingClientRect();"
                   " return [r.x, r.y, r.width, r.height]; })()")


def middle(page):
    x, y, width, height = canvas(page)
    return x + width / 2, y + height / 2


def shot(page):
    """The view as an image."""
    page.js("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return Image.open(io.BytesIO(page.picture(canvas(page)))).convert("RGB")


def changed(before, after):
    """The share of pixels that differ clearly."""
    difference = ImageChops.difference(before, after).convert("L").point(lambda v: 255 if v > 24 else 0)
    return difference.histogram()[255] / (before.width * before.height)


def cut_metal(image):
    """Which pixels show metal that a section cuts, by its colour, without its rims."""
    shares = np.asarray(image, float) / CUT
    alike = (np.ptp(shares, axis=2) < 0.04) & (shares.mean(axis=2) > 0.82) & (shares.mean(axis=2) < 1.03)
    return np.asarray(Image.fromarray(alike).convert("L").filter(ImageFilter.MinFilter(3))) > 0


def opened(page, address, width=1400, height=900, **more):
    page.size(width, height, **more)
    page.logged.clear()
    page.asked.clear()
    page.open(address)


def camera(page):
    return page.js("JSON.parse(document.getElementById('canvas').dataset.camera)")


def choose(page, name, value):
    """Sets a control as its user would: the value, then the events."""
    page.js(f"(() => {{ const c = document.getElementById({name!r}); if (c.type === 'checkbox') c.checked = {json.dumps(value)};"
            f" else c.value = {json.dumps(value)};"
            " for (const kind of ['input', 'change']) c.dispatchEvent(new Event(kind, {bubbles: true})); })()")


def drawn_quietly(page, address):
    """The canvas is not blank, nothing is logged, nothing is asked of a network."""
    opened(page, address)
    colours = len(shot(page).getcolors(1 << 20))
    assert colours > 60, f"{colours} colours"
    assert not page.logged, page.logged
    outside = [url for url in page.asked if not url.startswith(("file:", "data:", "blob:"))]
    assert not outside, outside
    # What the page forbids itself is forbidden: a request is refused.
    refused = page.js("fetch('https://example.invalid/').then(() => false, () => true)")
    assert refused and any("Content Security Policy" in line for line in page.logged), "the policy refuses requests"


def turned_moved_zoomed(page, address):
    """Mouse, wheel and keys change the eye as they should."""
    opened(page, address)
    x, y = middle(page)
    start = camera(page)
    page.drag((x, y), (x + 120, y + 30))
    turned = camera(page)
    assert turned[0] != start[0] and turned[1] != start[1] and turned[5] == start[5], "a drag turns"
    page.drag((x, y), (x + 60, y), button="right")
    moved = camera(page)
    assert moved[:2] == turned[:2] and moved[2:5] != turned[2:5], "a right drag moves"
    page.mouse("mouseWheel", x, y, deltaX=0, deltaY=-300)
    page.wait(f"JSON.parse(document.getElementById('canvas').dataset.camera)[5] < {moved[5]}")
    page.js("document.getElementById('canvas').focus()")
    page.key("0")
    shot(page)
    whole = camera(page)
    assert whole[:2] == start[:2], "0 shows the whole part"
    page.key("1")
    shot(page)
    assert camera(page)[:2] == [0, 0], "1 looks from the rear"
    page.key("ArrowLeft", shift=True)
    page.key("+")
    shot(page)
    assert camera(page)[5] < whole[5] * 1.2 and camera(page)[2:5] != whole[2:5], "keys move and zoom"


def a_face_is_picked(page, address):
    """A click, and Enter, tell the face with its size; a pick of nothing tells nothing."""
    opened(page, address)
    page.js("document.getElementById('canvas').focus()")
    page.key("1")
    shot(page)
    # From the rear the axis runs through the bores: a little beside it lies a bore or a face about it.
    x, y, width, height = canvas(page)
    page.click(x + 4, y + 4)
    assert page.js("document.getElementById('picked').textContent") == "", "nothing there"
    scale = height / camera(page)[5]
    target = camera(page)[2:5]
    # The rear ring, 29 mm from the axis, upwards; the eye looks along x.
    page.click(x + width / 2 - target[1] * scale, y + height / 2 + (target[2] - 29) * scale)
    told = page.js("document.getElementById('picked').textContent")
    assert "tail/" in told and "mm" in told, told
    page.key("Escape")
    assert page.js("document.getElementById('picked').textContent") == "", "nothing chosen"
    page.key("5")
    page.key("Enter")
    shot(page)
    assert "mm" in page.js("document.getElementById('picked').textContent"), "Enter picks in the middle"
    return told


def cut_and_taken_apart(page, address):
    """A section shows metal cut through, which hides what lies behind it; the halves of the core box come apart; the view goes back to what it was."""
    opened(page, address)
    whole = shot(page)
    choose(page, "axis", "1")
    cut = shot(page)
    assert changed(whole, cut) > 0.03, "half of the part is away"
    choose(page, "edges", False)
    metal = cut_metal(shot(page))
    bare = shot(page)
    choose(page, "edges", True)
    seen = np.abs(np.asarray(bare, int) - np.asarray(shot(page), int)).max(axis=2) > 24
    assert metal.mean() > 0.003, f"cut metal on {metal.mean():.3f} of the view"
    assert seen[metal].mean() < 0.005, f"edges are seen through {seen[metal].mean():.3f} of the cut metal"
    choose(page, "cut", "300")
    assert changed(cut, shot(page)) > 0.01, "the plane moves"
    assert page.js("document.getElementById('cut-at').textContent").endswith("mm"), "it tells where"
    choose(page, "axis", "")
    assert changed(whole, shot(page)) < 0.002, "as before"
    choose(page, "form", "core-box")
    together = shot(page)
    choose(page, "explode", "100")
    assert changed(together, shot(page)) > 0.03, "the halves are apart"


def coloured(page, address):
    """Every colouring differs, and has its legend."""
    opened(page, address)
    before, legends = shot(page), set()
    for mode in ("feature", "walls", "finish"):
        choose(page, "mode", mode)
        after = shot(page)
        assert changed(before, after) > 0.05, mode
        before = after
        legends.add(page.js("document.getElementById('legend').textContent"))
    choose(page, "form", "pattern")
    before = shot(page)
    choose(page, "mode", "draft")
    assert changed(before, shot(page)) > 0.05, "draft"
    legends.add(page.js("document.getElementById('legend').textContent"))
    assert len(legends) == 4 and "" not in legends, legends
    assert page.js("document.querySelector('#mode option[value=walls]').disabled"), "walls are known of the part only"


def a_finding_is_flown_to(page, address):
    """The worst finding leads to its place; its form, face and mark are shown; the keyboard does the same."""
    opened(page, address)
    start = camera(page)
    look = page.js("JSON.parse(document.querySelector('#worst [data-look]').dataset.look)")
    page.js("document.querySelector('#worst [data-look]').focus()")
    page.key("Enter")
    page.js("document.querySelector('#worst [data-look]').click()")
    shot(page)
    assert camera(page) != start and page.js("document.getElementById('form').value") == look["form"], "it flies"
    mean = [sum(p[k] for p in look["at"]) / len(look["at"]) for k in range(3)]
    assert all(abs(a - b) < 0.01 for a, b in zip(camera(page)[2:5], mean)), "to its place"
    assert not page.js("document.getElementById('marker').hidden"), "marked"
    opened_group = page.js("(() => { const f = document.querySelector('#findings .finding:has([data-look])');"
                           " f.querySelector('summary').click(); f.querySelector('[data-look]').click();"
                           " return f.open && f.classList.contains('chosen'); })()")
    assert opened_group, "a finding unfolds and is marked"


def fits_and_is_labelled(page, address):
    """At three widths, light and dark: nothing wider than the window, no fault by axe-core's rules."""
    found = 0
    for width, height, touch in WIDTHS:
        # Colours do not hang on the width: the dark ones are tried at one.
        for dark in (False, True) if width == 900 else (False,):
            opened(page, address, width, height, dark=dark, touch=touch)
            page.js("document.querySelectorAll('details').forEach((d) => d.open = true)")
            wide = page.js("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, f"{wide} pixels too wide at {width}"
            page.js(AXE.read_text(encoding="utf-8") + "; 0")
            result = page.js("axe.run(document, {resultTypes: ['violations']})")
            faults = [f"{v['id']}: {v['nodes'][0]['target']}" for v in result["violations"]]
            assert not faults, f"at {width}, {'dark' if dark else 'light'}: {faults}"
            found += 1
    return f"{found} settings"


def touched(page, address):
    """On a phone a finger turns the part, and two fingers zoom."""
    opened(page, address, 390, 844, touch=True)
    page.js("document.getElementById('canvas').scrollIntoView({block: 'center'})")
    (x, y), start = middle(page), camera(page)

    def touch(kind, *points):
        page.send("Input.dispatchTouchEvent", type=kind, touchPoints=[{"x": a, "y": b, "id": k} for k, (a, b) in enumerate(points)])

    touch("touchStart", (x, y))
    touch("touchMove", (x + 50, y + 10))
    touch("touchEnd")
    shot(page)
    turned = camera(page)
    assert turned[0] != start[0] and turned[5] == start[5], "one finger turns"
    touch("touchStart", (x - 40, y), (x + 40, y))
    touch("touchMove", (x - 80, y), (x + 80, y))
    touch("touchEnd")
    shot(page)
    assert camera(page)[5] < turned[5], "two fingers zoom"


def printed(page, address):
    """On paper: more than one sheet, with the verdict, and without controls."""
    opened(page, address)
    page.send("Emulation.setEmulatedMedia", media="print")
    shown = page.js("['nav', '.bar', '#help-button'].filter((s) => document.querySelector(s).checkVisibility())")
    assert not shown and page.js("document.querySelector('.verdict').checkVisibility()"), shown
    page.send("Emulation.setEmulatedMedia", media="")
    folded = "[...document.querySelectorAll('#findings .finding, #fits details')].filter((d) => !d.open).length"
    before = page.js(folded)
    page.js("dispatchEvent(new Event('beforeprint'))")
    assert before > 0 and page.js(folded) == 0, "findings and figures are unfolded"
    page.js("dispatchEvent(new Event('afterprint'))")
    assert page.js(folded) == before, "and folded again"
    assert len(page.send("Page.printToPDF")["data"]) > 50_000, "a document"


def without_graphics(page, address):
    """Where a browser has no WebGL 2, the page says so, and all else is there."""
    script = page.send("Page.addScriptToEvaluateOnNewDocument",
                       source="HTMLCanvasElement.prototype.getContext = () => null")["identifier"]
    page.send("Page.navigate", url=address)
    page.wait("document.readyState === 'complete' && document.getElementById('nogl')?.checkVisibility()")
    assert page.js("document.querySelectorAll('.finding').length") >= 3, "findings"
    page.send("Page.removeScriptToEvaluateOnNewDocument", identifier=script)


CHECKS = (drawn_quietly, turned_moved_zoomed, a_face_is_picked, cut_and_taken_apart, coloured, a_finding_is_flown_to,
          fits_and_is_labelled, touched, printed, without_graphics)


def pictures(page, address, folder):
    """Keeps a picture of each width, light and dark."""
    folder.mkdir(parents=True, exist_ok=True)
    for width, height, touch in WIDTHS:
        for dark in (False, True):
            opened(page, address, width, height, dark=dark, touch=touch)
            shot(page)
            (folder / f"report_{width}_{'dark' if dark else 'light'}.png").write_bytes(page.picture())
