// Which face a ray hits first.
import { add, times } from "./vectors.js";

/**
 * The nearest hit of a ray on a mesh moved by `shift`: its distance along the ray, triangle and place; null without one.
 * `keeps` tells of a place of the mesh whether it is drawn: what a section takes away is not hit.
 * The ray's meeting with a triangle: Möller and Trumbore, Journal of Graphics Tools 2(1), 1997.
 */
export const hit = ({ positions, indices }, shift, { origin, direction }, keeps) => {
  const [ox, oy, oz] = [origin[0] - shift[0], origin[1] - shift[1], origin[2] - shift[2]];
  const [dx, dy, dz] = direction;
  let best = null;
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [3 * indices[t], 3 * indices[t + 1], 3 * indices[t + 2]];
    const [ax, ay, az] = [positions[a], positions[a + 1], positions[a + 2]];
    const [ex, ey, ez] = [positions[b] - ax, positions[b + 1] - ay, positions[b + 2] - az];
    const [fx, fy, fz] = [positions[c] - ax, positions[c + 1] - ay, positions[c + 2] - az];
    const [px, py, pz] = [dy * fz - dz * fy, dz * fx - dx * fz, dx * fy - dy * fx];
    const volume = ex * px + ey * py + ez * pz;
    if (Math.abs(volume) < 1e-12) continue;
    const [sx, sy, sz] = [ox - ax, oy - ay, oz - az];
    const u = (sx * px + sy * py + sz * pz) / volume;
    if (u < 0 || u > 1) continue;
    const [qx, qy, qz] = [sy * ez - sz * ey, sz * ex - sx * ez, sx * ey - sy * ex];
    const v = (dx * qx + dy * qy + dz * qz) / volume;
    if (v < 0 || u + v > 1) continue;
    const distance = (fx * qx + fy * qy + fz * qz) / volume;
    if (distance < 0 || (best !== null && distance >= best.distance)) continue;
    const place = add(origin, times(direction, distance));
    if (keeps(place)) best = { distance, triangle: t / 3, place };
  }
  return best;
};

/** The nearest hit among the pieces of a form, with the piece and its face. */
export const hitOf = (pieces, shifts, ray, keeps) =>
  pieces.reduce((best, piece, number) => {
    const found = hit(piece, shifts[number], ray, keeps);
    if (found === null || (best !== null && found.distance >= best.distance)) return best;
    return { ...found, piece: number, face: piece.faceOfTriangle[found.triangle] };
  }, null);
