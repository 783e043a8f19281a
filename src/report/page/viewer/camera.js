// The eye: it looks at a target from a direction, without perspective, so that lengths across the view are true.
// The part's axes: x aft, y right, z up.
import { add, between, cross, dot, minus, norm, times } from "./vectors.js";

const QUARTER = Math.PI / 2;

/** From behind, right and above. */
export const USUAL = { yaw: 0.62, pitch: 0.42 };

/** Views from the sides, by the keys 1 to 6: from the rear, ahead, right, left, above, below. */
export const SIDES = [
  { yaw: 0, pitch: 0 },
  { yaw: Math.PI, pitch: 0 },
  { yaw: QUARTER, pitch: 0 },
  { yaw: -QUARTER, pitch: 0 },
  { yaw: QUARTER, pitch: QUARTER },
  { yaw: QUARTER, pitch: -QUARTER },
];

/** The view's axes: right, up, and toward the eye. */
export const axes = ({ yaw, pitch }) => {
  const toward = [Math.cos(pitch) * Math.cos(yaw), Math.cos(pitch) * Math.sin(yaw), Math.sin(pitch)];
  const up = [-Math.sin(pitch) * Math.cos(yaw), -Math.sin(pitch) * Math.sin(yaw), Math.cos(pitch)];
  return { right: cross(up, toward), up, toward };
};

/** Turned by angles; never over the poles. */
export const turned = (camera, dyaw, dpitch) => ({
  ...camera,
  yaw: camera.yaw + dyaw,
  pitch: Math.min(QUARTER, Math.max(-QUARTER, camera.pitch + dpitch)),
});

/** Moved across the view by lengths in mm. */
export const moved = (camera, right, up) => {
  const a = axes(camera);
  return { ...camera, target: add(camera.target, add(times(a.right, right), times(a.up, up))) };
};

/** Zoomed by a factor, within what a part needs. */
export const zoomed = (camera, factor) => ({
  ...camera,
  height: Math.min(1e5, Math.max(0.5, camera.height * factor)),
});

/** Looking at all of a box; `aspect` is the view's width over its height. */
export const fitted = (direction, { low, high }, aspect) => {
  const target = between(low, high, 0.5);
  const a = axes(direction);
  const half = times(minus(high, low), 0.5);
  const reach = (axis) => half.reduce((sum, h, k) => sum + Math.abs(h * axis[k]), 0);
  const height = 2 * Math.max(reach(a.up), reach(a.right) / aspect);
  return { yaw: direction.yaw, pitch: direction.pitch, target, height: height * 1.08 };
};

/** The camera between two others; it turns the short way. */
export const blended = (from, to, share) => {
  const full = 2 * Math.PI;
  let turn = (to.yaw - from.yaw) % full;
  if (turn > Math.PI) turn -= full;
  if (turn < -Math.PI) turn += full;
  return {
    yaw: from.yaw + turn * share,
    pitch: from.pitch + (to.pitch - from.pitch) * share,
    target: between(from.target, to.target, share),
    height: from.height * (to.height / from.height) ** share,
  };
};

/** Where a point is seen: x and y from -1 to 1 over the view. */
export const seen = (camera, aspect, point) => {
  const a = axes(camera);
  const off = minus(point, camera.target);
  return [dot(off, a.right) / (0.5 * camera.height * aspect), dot(off, a.up) / (0.5 * camera.height)];
};

/** The ray into the view at x and y from -1 to 1, from far before everything. */
export const ray = (camera, aspect, [x, y], far) => {
  const a = axes(camera);
  const across = add(times(a.right, x * 0.5 * camera.height * aspect), times(a.up, y * 0.5 * camera.height));
  return { origin: add(add(camera.target, across), times(a.toward, far)), direction: times(a.toward, -1) };
};

/** The matrix from the part to the screen's cube, column after column; `reach` bounds all distances from the target. */
export const matrix = (camera, aspect, reach) => {
  const { right, up, toward } = axes(camera);
  const rows = [
    times(right, 2 / (camera.height * aspect)),
    times(up, 2 / camera.height),
    times(toward, -1 / reach),
  ];
  const shift = rows.map((row) => -dot(row, camera.target));
  const column = (k) => [rows[0][k], rows[1][k], rows[2][k], 0];
  return [...column(0), ...column(1), ...column(2), ...shift, 1];
};

/** The direction from which a place on a surface is seen best: along its normal, a little to the side. */
export const facing = (normal) => {
  if (norm(normal) === 0) return USUAL;
  const flat = Math.hypot(normal[0], normal[1]);
  const yaw = flat > 1e-6 ? Math.atan2(normal[1], normal[0]) : USUAL.yaw;
  const pitch = Math.atan2(normal[2], flat);
  return { yaw: yaw + 0.35, pitch: Math.min(1.2, Math.max(-1.2, pitch + (pitch > 0.8 ? -0.35 : 0.3))) };
};
