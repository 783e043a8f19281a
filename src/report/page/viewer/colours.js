// The colours of faces by what they shall tell, and the legend of them. Colours are 0 to 255.
import { lengthTold } from "./lengths.js";

const CAST = [203, 194, 180];
const MACHINED = [150, 190, 228];
const HELD = [205, 70, 52];
const NONE = [176, 176, 172];

/** Colours that also those tell apart who see red and green alike (Okabe and Ito, 2008, lightened), and greys of other tone. */
const WHEEL = [
  [230, 171, 62],
  [102, 180, 233],
  [40, 158, 125],
  [236, 224, 90],
  [60, 124, 190],
  [218, 110, 48],
  [208, 136, 178],
  [150, 140, 128],
  [126, 186, 96],
  [168, 122, 84],
  [120, 128, 150],
  [188, 90, 110],
];

/** From thin to thick, dark red over yellow to blue: 0 to 1. */
export const ramp = (share) => {
  const stops = [
    [165, 30, 30],
    [226, 116, 58],
    [244, 212, 104],
    [132, 196, 190],
    [52, 106, 176],
  ];
  const at = Math.min(1, Math.max(0, share)) * (stops.length - 1);
  const k = Math.min(stops.length - 2, Math.floor(at));
  return stops[k].map((c, i) => Math.round(c + (stops[k + 1][i] - c) * (at - k)));
};

/** Wall thickness, mm, that has the first and the last colour. */
const THIN = 3;
const THICK = 12;

/** Draft, degrees: below the first a wall is upright, from the last on the colour stays. */
const UPRIGHT = 0.25;
const AMPLE = 5;

/** The draft of a place, degrees: how far its normal leans out of the parting plane. */
export const draftOf = (normal, draw) => {
  const along = normal[0] * draw[0] + normal[1] * draw[1] + normal[2] * draw[2];
  return (Math.asin(Math.min(1, Math.abs(along))) * 180) / Math.PI;
};

const byFinish = (face) => (face.undrawn ? HELD : face.machined ? MACHINED : CAST);

const draftColour = (face, normal, draw) => {
  if (face.undrawn) return HELD;
  const draft = draftOf(normal, draw);
  return draft < UPRIGHT ? NONE : ramp(draft / AMPLE);
};

/** The features of a form's faces, in the order of their names. */
export const featuresOf = (form) =>
  [...new Set(form.pieces.flatMap((piece) => piece.faces.map((face) => face.feature)))].sort();

/** The colour of each vertex of a piece, three bytes and one that tells whether its face is chosen. */
export const vertexColours = (piece, form, mode, chosen) => {
  const features = featuresOf(form);
  const out = new Uint8Array(4 * piece.faceOfVertex.length);
  const ofFace = piece.faces.map((face) =>
    mode === "feature" ? WHEEL[features.indexOf(face.feature) % WHEEL.length] : byFinish(face),
  );
  const marked = piece.faces.map((face) => (chosen.has(face.name) ? 255 : 0));
  piece.faceOfVertex.forEach((face, v) => {
    const normal = piece.normals.subarray(3 * v, 3 * v + 3);
    const colour = mode === "draft" && form.draw ? draftColour(piece.faces[face], normal, form.draw) : ofFace[face];
    out.set([...colour, marked[face]], 4 * v);
  });
  return out;
};

/** The colour of each vertex of the map of walls. */
export const wallColours = ({ tenths }) => {
  const out = new Uint8Array(12 * tenths.length);
  tenths.forEach((tenth, t) => {
    const colour = tenth === 0 ? NONE : ramp((tenth / 10 - THIN) / (THICK - THIN));
    for (let corner = 0; corner < 3; corner += 1) out.set([...colour, 0], 12 * t + 4 * corner);
  });
  return out;
};

/** From less metal to more, blue over white to red: -1 to 1. */
const diverging = (share) => {
  const at = Math.min(1, Math.max(-1, share));
  const end = at < 0 ? [36, 90, 170] : [178, 30, 36];
  return end.map((c) => Math.round(240 + (c - 240) * Math.abs(at)));
};

/** The colour of each vertex of the map of deviations. */
export const deviationColours = ({ tenths }) => {
  const out = new Uint8Array(12 * tenths.length);
  tenths.forEach((byte, t) => {
    const colour = byte === 0 ? NONE : diverging((byte - 128) / 127);
    for (let corner = 0; corner < 3; corner += 1) out.set([...colour, 0], 12 * t + 4 * corner);
  });
  return out;
};

const deviationSteps = (most, unit) =>
  [-1, -0.5, 0, 0.5, 1].map((share) => {
    const end = share === -1 ? " and less metal" : share === 1 ? " and more metal" : "";
    return [diverging(share), `${lengthTold(most * share, 3, unit)}${end}`];
  });

const steps = (low, high, told) =>
  [0, 0.25, 0.5, 0.75, 1].map((share) => {
    const value = low + (high - low) * share;
    const end = share === 0 ? " and less" : share === 1 ? " and more" : "";
    return [ramp(share), `${told(value)}${end}`];
  });

/** Pairs of colour and words for the legend. */
export const legendOf = (form, mode, unit, most = 0) => {
  const held = form.pieces.some((piece) => piece.faces.some((face) => face.undrawn));
  const red = held ? [[HELD, "cannot be drawn"]] : [];
  if (mode === "feature") {
    return featuresOf(form).map((name, k) => [WHEEL[k % WHEEL.length], name.replaceAll("_", " ")]);
  }
  if (mode === "deviation") return [...deviationSteps(most, unit), [NONE, "not scanned"]];
  if (mode === "walls") return [...steps(THIN, THICK, (mm) => lengthTold(mm, 2, unit)), [NONE, "no wall"]];
  if (mode === "draft") return [...red, [NONE, "upright"], ...steps(0, AMPLE, (angle) => `${Number(angle.toFixed(2))} °`)];
  return [[CAST, "as cast"], [MACHINED, "machined"], ...red];
};
