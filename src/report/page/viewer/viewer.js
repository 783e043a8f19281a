// The view: what is shown, from where, and what is chosen. It draws only when something has changed.
import { add, hull, minus, norm, times } from "./vectors.js";
import { SIDES, USUAL, axes, blended, facing, fitted, matrix, moved, ray, seen, turned, zoomed } from "./camera.js";
import { deviationsOf, formOf, wallsOf } from "./scene.js";
import { hitOf } from "./picking.js";
import { keeps, planeOf } from "./section.js";
import { deviationColours, legendOf, vertexColours, wallColours } from "./colours.js";

const FLIGHT = 450;

const triple = (text) => (text.match(/[\d.]+/g) ?? [0, 0, 0]).slice(0, 3).map((c) => Number(c) / 255);

export class Viewer {
  /** `told` is called with what is picked, what is chosen, and when another form or legend is shown. */
  constructor(canvas, renderer, told) {
    Object.assign(this, { canvas, renderer, told });
    Object.assign(this, { unit: "mm", forms: [], walls: null, deviations: null, form: null, mode: "finish", plane: null, apart: 0, edges: true });
    Object.assign(this, { camera: null, chosen: new Set(), place: null, flight: null, maps: {}, waiting: false, uploads: [] });
    new ResizeObserver(() => this.redraw()).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.redraw());
  }

  /** Takes a scene, and keeps eye and form where it can. */
  async show(scene) {
    const forms = await Promise.all(scene.forms.map(formOf));
    // A first picture has one form; the others stay until they are made anew.
    const names = forms.map((form) => form.name);
    const kept = scene.partial ? this.forms.filter((form) => !names.includes(form.name)) : [];
    if (!scene.partial) {
      this.unit = scene.unit;
      this.walls = scene.walls ? await wallsOf(scene.walls) : null;
      this.deviations = scene.deviations ? await deviationsOf(scene.deviations) : null;
      if (this.deviations) this.mode = "deviation";
    }
    this.forms = [...forms, ...kept];
    const same = this.forms.find((form) => form.name === this.form?.name) ?? forms[0] ?? null;
    if (same) this.setForm(same.name);
  }

  setForm(name) {
    const form = this.forms.find((f) => f.name === name);
    if (!form) return;
    const first = this.camera === null;
    this.form = form;
    this.uploads.forEach((mesh) => mesh.drop());
    this.uploads = form.pieces.map((piece) => this.renderer.upload(piece));
    this.maps = {};
    if (!this.modes().includes(this.mode)) this.mode = "finish";
    if (first) this.camera = fitted(USUAL, form.box, this.aspect());
    this.setSection(this.cut ?? null);
    this.recolour();
    this.told.shown();
  }

  /** The colourings that this form has. */
  modes() {
    const walls = this.walls && this.form === this.forms[0] ? ["walls"] : [];
    const scanned = this.deviations && this.form === this.forms[0] ? ["deviation"] : [];
    return ["finish", "feature", ...walls, ...scanned, ...(this.form?.draw ? ["draft"] : [])];
  }

  setMode(mode) {
    this.mode = mode;
    this.recolour();
    this.told.shown();
  }

  setEdges(edges) {
    this.edges = edges;
    this.redraw();
  }

  /** Cuts by `{axis, share, other}`, or not at all. */
  setSection(cut) {
    this.cut = cut;
    this.plane = cut && this.form ? planeOf(cut.axis, cut.share, cut.other, this.form.box) : null;
    this.redraw();
  }

  setApart(share) {
    this.apart = share;
    this.redraw();
  }

  canExplode() {
    return this.form !== null && this.form.pieces.some((piece) => norm(piece.apart) > 0);
  }

  legend() {
    return this.form ? legendOf(this.form, this.mode, this.unit, this.deviations?.most) : [];
  }

  shifts() {
    return this.form.pieces.map((piece) => times(piece.apart, this.apart));
  }

  recolour() {
    if (!this.form) return;
    this.form.pieces.forEach((piece, k) =>
      this.uploads[k].paint(vertexColours(piece, this.form, this.mode, this.chosen)),
    );
    const map = { walls: this.walls, deviation: this.deviations }[this.mode];
    if (map && !this.maps[this.mode]) {
      const mesh = this.renderer.upload(map);
      mesh.paint(this.mode === "walls" ? wallColours(map) : deviationColours(map));
      this.maps[this.mode] = mesh;
      this.uploads.push(mesh);
    }
    this.redraw();
  }

  aspect() {
    return this.canvas.clientWidth / Math.max(1, this.canvas.clientHeight);
  }

  /** A length of the part for one of the screen, mm a pixel. */
  pixel() {
    return this.camera.height / Math.max(1, this.canvas.clientHeight);
  }

  look(camera) {
    this.flight = null;
    this.camera = camera;
    this.redraw();
  }

  turn(yaw, pitch) {
    if (this.camera) this.look(turned(this.camera, yaw, pitch));
  }

  move(right, up) {
    if (this.camera) this.look(moved(this.camera, right * this.pixel(), up * this.pixel()));
  }

  zoom(factor) {
    if (this.camera) this.look(zoomed(this.camera, factor));
  }

  /** Zooms so that what lies under a place of the canvas stays there. */
  zoomAt(factor, [x, y]) {
    const off = [x - this.canvas.clientWidth / 2, this.canvas.clientHeight / 2 - y];
    const share = 1 - factor;
    this.move(off[0] * share, off[1] * share);
    this.zoom(factor);
  }

  home() {
    this.side(null);
  }

  /** Flies to a view of the whole part from a side, or from where it is usually seen. */
  side(number) {
    if (!this.form) return;
    const shifts = this.shifts();
    const boxes = this.form.pieces.map(({ box }, k) => ({ low: add(box.low, shifts[k]), high: add(box.high, shifts[k]) }));
    this.fly(fitted(number === null ? USUAL : SIDES[number], hull(boxes), this.aspect()));
  }

  fly(to) {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches || !this.camera;
    if (still) this.look(to);
    else {
      this.flight = { from: this.camera, to, start: performance.now() };
      this.redraw();
    }
  }

  /** Picks the face at a place of the canvas, in its pixels. */
  pick([x, y]) {
    if (!this.form) return;
    const at = [(2 * x) / this.canvas.clientWidth - 1, 1 - (2 * y) / this.canvas.clientHeight];
    const found = hitOf(this.form.pieces, this.shifts(), ray(this.camera, this.aspect(), at, this.reach()), (p) =>
      keeps(this.plane, p),
    );
    const face = found && this.form.pieces[found.piece].faces[found.face];
    this.choose(new Set(face ? [face.name] : []), found ? found.place : null);
    this.told.picked(face, found);
  }

  pickMiddle() {
    this.pick([this.canvas.clientWidth / 2, this.canvas.clientHeight / 2]);
  }

  /** Marks faces by their names, and a place. */
  choose(names, place) {
    this.chosen = names;
    this.place = place;
    if (names.size === 0) this.told.picked(null, null);
    this.recolour();
  }

  /** Flies to a finding: `{form, at, faces}`. */
  lookAt(finding) {
    this.setForm(finding.form);
    if (!this.form) return;
    const at = finding.at.length > 0 ? finding.at.reduce((sum, p) => add(sum, times(p, 1 / finding.at.length)), [0, 0, 0]) : null;
    this.choose(new Set(finding.faces), at);
    const target = at ?? this.middleOf(this.chosen);
    if (!target) return;
    const inside = this.normalNear(target, this.chosen);
    const wide = Math.max(...finding.at.map((p) => norm(minus(p, target))), 0);
    const size = norm(minus(this.form.box.high, this.form.box.low));
    this.fly({ ...facing(inside), target, height: Math.max(0.28 * size, 4 * wide) });
  }

  /** The vertices of faces with these names: `[piece, vertex]`. */
  *verticesOf(names) {
    for (const piece of this.form.pieces) {
      for (let v = 0; v < piece.faceOfVertex.length; v += 1) {
        if (names.has(piece.faces[piece.faceOfVertex[v]].name)) yield [piece, v];
      }
    }
  }

  middleOf(names) {
    const all = [...this.verticesOf(names)].map(([piece, v]) => [...piece.positions.subarray(3 * v, 3 * v + 3)]);
    return all.length === 0 ? null : times(all.reduce(add, [0, 0, 0]), 1 / all.length);
  }

  /** The normal of the chosen faces, or of any, at the vertex nearest to a place. */
  normalNear(place, names) {
    const any = names.size > 0 ? names : new Set(this.form.pieces.flatMap((p) => p.faces.map((f) => f.name)));
    let [best, normal] = [Infinity, [0, 0, 0]];
    for (const [piece, v] of this.verticesOf(any)) {
      const off = norm(minus([...piece.positions.subarray(3 * v, 3 * v + 3)], place));
      if (off < best) [best, normal] = [off, [...piece.normals.subarray(3 * v, 3 * v + 3)]];
    }
    return normal;
  }

  /** More than any distance of the part, however far apart, from the target. */
  reach() {
    const { low, high } = this.form.box;
    const size = norm(minus(high, low)) + Math.max(...this.form.pieces.map((p) => norm(p.apart)));
    return 2 * size + norm(minus(this.camera.target, times(add(low, high), 0.5)));
  }

  redraw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame((now) => this.frame(now));
  }

  frame(now) {
    this.waiting = false;
    if (!this.form || !this.camera || this.canvas.clientWidth === 0) return;
    if (this.flight) this.advance(now);
    const ratio = Math.min(devicePixelRatio, 2);
    const [width, height] = [this.canvas.clientWidth, this.canvas.clientHeight].map((s) => Math.round(s * ratio));
    if (this.canvas.width !== width || this.canvas.height !== height) Object.assign(this.canvas, { width, height });
    const shifts = this.shifts();
    const map = this.maps[this.mode];
    const items = this.form.pieces.map((piece, k) => ({
      mesh: this.uploads[k],
      shift: shifts[k],
      sharp: piece.sharp,
      lines: piece.lines.length,
    }));
    this.renderer.draw(map ? [{ mesh: map, shift: [0, 0, 0] }] : items, {
      matrix: matrix(this.camera, this.aspect(), this.reach()),
      axes: axes(this.camera),
      plane: this.plane,
      target: this.camera.target,
      reach: this.reach(),
      edges: this.edges,
      ground: triple(getComputedStyle(this.canvas.parentElement).backgroundColor),
    });
    this.told.drawn(this.place ? seen(this.camera, this.aspect(), this.place) : null);
  }

  advance(now) {
    const { from, to, start } = this.flight;
    const share = Math.min(1, Math.max(0, (now - start) / FLIGHT));
    this.camera = blended(from, to, share * share * (3 - 2 * share));
    if (share >= 1) this.flight = null;
    else this.redraw();
  }
}
