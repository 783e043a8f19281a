// The viewer's modules that only compute. What they are held against stands beside each test.
import assert from "node:assert/strict";
import { test } from "node:test";
import { deflateSync } from "node:zlib";

const folder = new URL("../../src/report/page/viewer/", import.meta.url);
const load = (name) => import(new URL(name, folder));
const { SIDES, axes, blended, fitted, matrix, moved, ray, seen, turned, zoomed } = await load("camera.js");
const { hit, hitOf } = await load("picking.js");
const { keeps, planeOf } = await load("section.js");
const { formOf, normalsOf } = await load("scene.js");
const { cross, dot, minus, norm } = await load("vectors.js");
const { areaTold, lengthTold, placeTold } = await load("lengths.js");
const { deviationColours, draftOf, legendOf, ramp } = await load("colours.js");
const { pressed, spread } = await load("pointer.js");

const near = (a, b, within = 1e-9) => assert.ok(norm(minus(a, b)) <= within, `${a} is not ${b}`);

/** The cube from 0 to 2 with outward triangles. */
const cube = () => {
  const positions = [];
  for (let k = 0; k < 8; k += 1) positions.push(2 * (k & 1), 2 * ((k >> 1) & 1), 2 * ((k >> 2) & 1));
  const quads = [[0, 4, 6, 2], [1, 3, 7, 5], [0, 1, 5, 4], [2, 6, 7, 3], [0, 2, 3, 1], [4, 5, 7, 6]];
  const indices = quads.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]);
  return { positions, indices, faceOfTriangle: [0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5] };
};

test("the view's axes are square, and seen from the rear right is right", () => {
  for (const direction of [...SIDES, { yaw: 1, pitch: 0.5 }]) {
    const { right, up, toward } = axes(direction);
    near(cross(right, up), toward);
    assert.ok(Math.abs(dot(right, up)) < 1e-12, "square");
  }
  // The part's axes: x aft, y right, z up, as in ISO 4130.
  const { right, up, toward } = axes(SIDES[0]);
  near(toward, [1, 0, 0]);
  near(right, [0, 1, 0]);
  near(up, [0, 0, 1]);
});

test("a ray through a place where a point is seen meets the point", () => {
  const camera = { yaw: 0.7, pitch: -0.3, target: [5, -2, 9], height: 40 };
  const point = [11, 3, 4];
  const { origin, direction } = ray(camera, 1.6, seen(camera, 1.6, point), 500);
  assert.ok(norm(cross(minus(point, origin), direction)) < 1e-9, "the point lies on the ray");
});

test("the matrix puts a point where it is seen, nearer points before others", () => {
  const camera = { yaw: 2, pitch: 0.4, target: [1, 2, 3], height: 30 };
  const m = matrix(camera, 1.5, 100);
  const through = (p) => [0, 1, 2].map((r) => m[r] * p[0] + m[4 + r] * p[1] + m[8 + r] * p[2] + m[12 + r]);
  const point = [4, 1, 7];
  near(through(point).slice(0, 2).concat(0), [...seen(camera, 1.5, point), 0]);
  const nearer = point.map((x, k) => x + axes(camera).toward[k]);
  assert.ok(through(nearer)[2] < through(point)[2], "depth grows away from the eye");
});

test("turning stops at the poles; moving and zooming keep the rest", () => {
  const camera = { yaw: 0, pitch: 1.5, target: [0, 0, 0], height: 10 };
  assert.equal(turned(camera, 0, 1).pitch, Math.PI / 2);
  near(moved({ ...camera, pitch: 0 }, 2, 3).target, [0, 2, 3]);
  assert.equal(zoomed(camera, 2).height, 20);
});

test("a box that fits is wholly seen", () => {
  const box = { low: [-3, 0, 2], high: [40, 9, 30] };
  for (const aspect of [0.5, 1, 2.5]) {
    const camera = fitted({ yaw: 0.6, pitch: 0.4 }, box, aspect);
    for (let k = 0; k < 8; k += 1) {
      const corner = [0, 1, 2].map((axis) => ((k >> axis) & 1 ? box.high[axis] : box.low[axis]));
      for (const at of seen(camera, aspect, corner)) assert.ok(Math.abs(at) <= 1, "within the view");
    }
  }
});

test("a flight begins and ends where it shall, and turns the short way", () => {
  const from = { yaw: 3, pitch: 0, target: [0, 0, 0], height: 10 };
  const to = { yaw: -3, pitch: 1, target: [4, 0, 0], height: 40 };
  near(blended(from, to, 0).target, from.target);
  assert.equal(blended(from, to, 1).height, 40);
  assert.ok(Math.abs(blended(from, to, 0.5).yaw - Math.PI) < 0.01, "over the back");
  assert.equal(blended(from, to, 0.5).height, 20, "zoom is even in ratio");
});

test("the nearest face is hit; what is cut away is not", () => {
  const down = { origin: [0.5, 1.2, 10], direction: [0, 0, -1] };
  const all = () => true;
  const top = hit(cube(), [0, 0, 0], down, all);
  assert.equal(top.distance, 8);
  near(top.place, [0.5, 1.2, 2]);
  const plane = planeOf(2, 0.5, false, { low: [0, 0, 0], high: [2, 2, 2] });
  assert.equal(hit(cube(), [0, 0, 0], down, (p) => keeps(plane, p)).distance, 10, "the floor");
  assert.equal(hit(cube(), [5, 0, 0], down, all), null, "moved aside");
  const two = hitOf([cube(), cube()], [[0, 0, 0], [0, 0, 3]], down, all);
  assert.deepEqual([two.piece, two.face, two.distance], [1, 5, 5], "the upper of two");
});

test("a section keeps the half before its plane, or the other", () => {
  const box = { low: [0, 0, 0], high: [10, 4, 4] };
  assert.equal(planeOf(0, 0.25, false, box).at, 2.5);
  assert.ok(keeps(planeOf(0, 0.25, false, box), [2, 0, 0]) && !keeps(planeOf(0, 0.25, false, box), [3, 0, 0]), "ahead");
  assert.ok(!keeps(planeOf(0, 0.25, true, box), [2, 0, 0]) && keeps(planeOf(0, 0.25, true, box), [3, 0, 0]), "behind");
  assert.ok(keeps(null, [9, 9, 9]), "without a plane");
});

test("a piece is read as it was packed", async () => {
  // Written here with node's own zlib: one triangle with an edge, normal up.
  const bytes = Buffer.alloc(18 + 12 + 12 + 8);
  [0, 0, 0, 1000, 0, 0, 0, 500, 0].forEach((x, k) => bytes.writeUInt16LE(x, 2 * k));
  [0, 1, 2].forEach((x, k) => bytes.writeUInt32LE(x, 30 + 4 * k));
  [1, 2].forEach((x, k) => bytes.writeUInt32LE(x, 42 + 4 * k));
  const face = { name: "tail/side", vertices: 3, triangles: 1 };
  const told = { apart: [0, 0, 1], low: [5, 6, 7], step: 0.01, vertices: 3, triangles: 1, sharp: 1, smooth: 0, faces: [face], data: deflateSync(bytes).toString("base64") };
  const form = await formOf({ name: "finished", pieces: [told] });
  const [piece] = form.pieces;
  near([...piece.positions.subarray(3, 6)], [15, 6, 7], 1e-5);
  near([...piece.normals.subarray(0, 3)], [0, 0, 1]);
  assert.deepEqual([...piece.lines], [1, 2]);
  assert.deepEqual(form.box.high, [15, 11, 7]);
});

test("normals come back from the octahedron's corners", () => {
  const ends = [[32767, 0], [0, -32767], [32767, 32767]];
  const [x, y, below] = ends.map((end) => [...normalsOf(Int16Array.from(end))]);
  near(x, [1, 0, 0], 1e-4);
  near(y, [0, -1, 0], 1e-4);
  near(below, [0, 0, -1], 1e-4);
});

test("draft is the lean of a wall out of the draw", () => {
  assert.equal(draftOf([1, 0, 0], [0, 0, 1]), 0);
  const lean = (3 * Math.PI) / 180;
  assert.ok(Math.abs(draftOf([Math.cos(lean), 0, Math.sin(lean)], [0, 0, 1]) - 3) < 1e-9, "three degrees");
  assert.deepEqual(ramp(-1), ramp(0));
  assert.notDeepEqual(ramp(0), ramp(1));
});

test("keys and fingers", () => {
  const calls = [];
  const viewer = new Proxy({}, { get: (_, name) => (...told) => calls.push([name, ...told]) });
  assert.ok(pressed({ key: "3" }, viewer) && pressed({ key: "ArrowUp", shiftKey: true }, viewer), "known");
  assert.ok(!pressed({ key: "x" }, viewer) && !pressed({ key: "+", ctrlKey: true }, viewer), "left to the browser");
  assert.deepEqual(calls.map(([name]) => name), ["side", "move"]);
  assert.deepEqual(spread([[0, 0], [6, 8]]), { middle: [3, 4], apart: 10 });
});

test("deviations are blue where metal is missing, red where there is more, grey where nothing was scanned", () => {
  const colours = deviationColours({ tenths: Uint8Array.from([1, 128, 255, 0]) });
  const of = (t) => [...colours.subarray(12 * t, 12 * t + 3)];
  const [less, none, more, unscanned] = [0, 1, 2, 3].map(of);
  assert.ok(less[2] > less[0] && more[0] > more[2], `${less} ${more}`);
  assert.deepEqual(none, [240, 240, 240]);
  assert.equal(new Set(unscanned).size <= 2 && unscanned[0] < 200, true, `${unscanned}`);
  const words = legendOf({ pieces: [] }, "deviation", "mm", 0.45).map(([, text]) => text);
  assert.equal(words.length, 6);
  assert.match(words[4], /^0\.45 mm and more metal$/);
});

test("lengths are told in the unit of the file", () => {
  // 25.4 mm are an inch exactly; 645.16 mm² a square inch.
  assert.deepEqual(["mm", "in"].map((unit) => lengthTold(38.1, 1, unit)), ["38.1 mm", "1.5 in"]);
  assert.equal(placeTold([25.4, 0, -12.7], "in"), "1, 0, -0.5 in");
  assert.equal(placeTold([25.44, 0, -12.7], "mm"), "25.4, 0, -12.7 mm");
  assert.deepEqual(["mm", "in"].map((unit) => areaTold(1290.32, unit)), ["1290.32 mm²", "2.00 in²"]);
  const walls = (unit) => legendOf({ pieces: [] }, "walls", unit).map(([, text]) => text);
  assert.ok(walls("in").every((text) => !text.includes("mm")), `${walls("in")}`);
  assert.ok(walls("mm").some((text) => text.includes("mm")), `${walls("mm")}`);
});
