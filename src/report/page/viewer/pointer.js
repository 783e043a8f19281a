// Mouse, fingers, wheel and keys on the canvas, as calls of a viewer: turn, move, zoom, pick.

const TURN = 0.008;
const KEY_TURN = 0.12;
const CLICK = 5;

/** The middle of some fingers and how far two of them are apart. */
export const spread = (points) => {
  const middle = points.reduce((sum, p) => [sum[0] + p[0] / points.length, sum[1] + p[1] / points.length], [0, 0]);
  const apart = points.length < 2 ? 0 : Math.hypot(points[0][0] - points[1][0], points[0][1] - points[1][1]);
  return { middle, apart };
};

const drag = (viewer, fingers, id, to, shifted) => {
  const before = spread([...fingers.values()]);
  fingers.set(id, to);
  const after = spread([...fingers.values()]);
  const [dx, dy] = [after.middle[0] - before.middle[0], after.middle[1] - before.middle[1]];
  if (fingers.size > 1 || shifted) viewer.move(-dx, dy);
  else viewer.turn(-dx * TURN, dy * TURN);
  if (before.apart > 0 && after.apart > 0) viewer.zoom(before.apart / after.apart);
  return Math.hypot(dx, dy);
};

/** Listens to pointers. */
export const listen = (canvas, viewer) => {
  const fingers = new Map();
  let [path, shifted] = [0, false];
  const place = (event) => [event.offsetX, event.offsetY];
  canvas.addEventListener("pointerdown", (event) => {
    if (fingers.size === 0) path = 0;
    shifted = event.button !== 0 || event.shiftKey;
    fingers.set(event.pointerId, place(event));
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (fingers.has(event.pointerId)) path += drag(viewer, fingers, event.pointerId, place(event), shifted);
  });
  canvas.addEventListener("pointerup", (event) => {
    if (fingers.size === 1 && path < CLICK && event.button === 0) viewer.pick(place(event));
    fingers.delete(event.pointerId);
  });
  canvas.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      viewer.zoomAt(Math.exp(event.deltaY * 0.0012), place(event));
    },
    { passive: false },
  );
  canvas.addEventListener("keydown", (event) => {
    if (pressed(event, viewer)) event.preventDefault();
  });
};

/** What a key does; false where it does nothing here. */
export const pressed = ({ key, shiftKey, ctrlKey, metaKey, altKey }, viewer) => {
  if (ctrlKey || metaKey || altKey) return false;
  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  if (key in ways) {
    const [x, y] = ways[key];
    if (shiftKey) viewer.move(-40 * x, -40 * y);
    else viewer.turn(x * KEY_TURN, y * KEY_TURN);
  } else if (key === "+" || key === "=") viewer.zoom(1 / 1.2);
  else if (key === "-") viewer.zoom(1.2);
  else if (key === "0" || key === "Home") viewer.home();
  else if (/^[1-6]$/.test(key)) viewer.side(Number(key) - 1);
  else if (key === "Enter" || key === " ") viewer.pickMiddle();
  else if (key === "Escape") viewer.choose(new Set(), null);
  else return false;
  return true;
};
