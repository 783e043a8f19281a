// Reads the page's data of meshes into arrays.
import { hull } from "./vectors.js";

/** The bytes behind a text in base64, inflated. */
export const inflated = async (text) => {
  const packed = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Response(stream).arrayBuffer();
};

/** Places from steps of a grid. */
const places = (steps, low, step) => Float32Array.from(steps, (s, k) => low[k % 3] + s * step);

/** Normals from points of an unfolded octahedron. */
export const normalsOf = (pairs) => {
  const out = new Float32Array((pairs.length / 2) * 3);
  for (let k = 0; k < pairs.length / 2; k += 1) {
    let x = pairs[2 * k] / 32767;
    let y = pairs[2 * k + 1] / 32767;
    const z = 1 - Math.abs(x) - Math.abs(y);
    const back = Math.max(-z, 0);
    x -= Math.sign(x) * back;
    y -= Math.sign(y) * back;
    const length = Math.hypot(x, y, z) || 1;
    out.set([x / length, y / length, z / length], 3 * k);
  }
  return out;
};

/** The box about some places. */
export const boxOf = (positions) => {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let k = 0; k < positions.length; k += 1) {
    low[k % 3] = Math.min(low[k % 3], positions[k]);
    high[k % 3] = Math.max(high[k % 3], positions[k]);
  }
  return { low, high };
};

/** For each vertex or triangle its face, from how many each face has, one face after the other. */
const faceNumbers = (faces, count, key) => {
  const out = new Uint16Array(count);
  let at = 0;
  faces.forEach((face, number) => {
    out.fill(number, at, at + face[key]);
    at += face[key];
  });
  return out;
};

/** A piece with its arrays. */
const pieceOf = async (told) => {
  const bytes = await inflated(told.data);
  let at = 0;
  const take = (kind, count) => {
    // Arrays of longer numbers start at any even place: a slice of their own starts at zero.
    const array = new kind(bytes.slice(at, at + count * kind.BYTES_PER_ELEMENT));
    at += count * kind.BYTES_PER_ELEMENT;
    return array;
  };
  const positions = places(take(Uint16Array, 3 * told.vertices), told.low, told.step);
  const normals = normalsOf(take(Int16Array, 2 * told.vertices));
  const indices = take(Uint32Array, 3 * told.triangles);
  const lines = take(Uint32Array, 2 * (told.sharp + told.smooth));
  return {
    name: told.name,
    apart: told.apart,
    faces: told.faces,
    positions,
    normals,
    indices,
    lines,
    sharp: 2 * told.sharp,
    faceOfVertex: faceNumbers(told.faces, told.vertices, "vertices"),
    faceOfTriangle: faceNumbers(told.faces, told.triangles, "triangles"),
    box: boxOf(positions),
  };
};

/** The deviations of a scan: as the map of walls, each triangle with a byte, and what the ends of the bytes mean, mm. */
export const deviationsOf = async (told) => ({ ...(await wallsOf(told)), most: told.most });

/** A form with its pieces. */
export const formOf = async (told) => {
  const pieces = await Promise.all(told.pieces.map(pieceOf));
  return { name: told.name, scale: told.scale, draw: told.draw, pieces, box: hull(pieces.map((p) => p.box)) };
};

/** The map of walls: loose triangles, each with its thickness in tenths of a millimetre, 0 for none. */
export const wallsOf = async (told) => {
  const bytes = await inflated(told.data);
  const count = 9 * told.triangles;
  const positions = places(new Uint16Array(bytes.slice(0, 2 * count)), told.low, told.step);
  const tenths = new Uint8Array(bytes.slice(2 * count));
  const normals = new Float32Array(count);
  for (let t = 0; t < count; t += 9) {
    const [a, b] = [0, 1, 2].reduce(
      ([p, q], k) => [
        [...p, positions[t + 3 + k] - positions[t + k]],
        [...q, positions[t + 6 + k] - positions[t + k]],
      ],
      [[], []],
    );
    const n = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    const length = Math.hypot(...n) || 1;
    for (let corner = 0; corner < 9; corner += 3) {
      normals.set([n[0] / length, n[1] / length, n[2] / length], t + corner);
    }
  }
  const indices = Uint32Array.from({ length: count / 3 }, (_, k) => k);
  return { positions, normals, indices, tenths };
};
