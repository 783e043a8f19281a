// The plane of a section across one of the part's axes.

/** The plane at a share of the way through a box; `other` keeps the other half. */
export const planeOf = (axis, share, other, { low, high }) => {
  const normal = [0, 0, 0];
  normal[axis] = other ? -1 : 1;
  const at = low[axis] + (high[axis] - low[axis]) * share;
  return { normal, offset: normal[axis] * at, axis, at };
};

/** Whether a place stays; without a plane all do. */
export const keeps = (plane, place) =>
  plane === null ||
  plane.normal[0] * place[0] + plane.normal[1] * place[1] + plane.normal[2] * place[2] <= plane.offset;
