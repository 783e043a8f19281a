// Vectors of three numbers as arrays. Nothing here changes its arguments.

export const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];

export const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];

export const times = (a, factor) => [a[0] * factor, a[1] * factor, a[2] * factor];

export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

export const cross = (a, b) => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

export const norm = (a) => Math.hypot(a[0], a[1], a[2]);

/** The vector at length 1; one without length stays as it is. */
export const unit = (a) => {
  const length = norm(a);
  return length > 0 ? times(a, 1 / length) : a;
};

/** A point between two others: the first at share 0, the second at 1. */
export const between = (a, b, share) => add(a, times(minus(b, a), share));

/** The smallest box about some boxes `{low, high}`; null without any. */
export const hull = (boxes) =>
  boxes.reduce(
    (all, box) =>
      all === null
        ? box
        : {
            low: all.low.map((x, k) => Math.min(x, box.low[k])),
            high: all.high.map((x, k) => Math.max(x, box.high[k])),
          },
    null,
  );
