// @ts-check
// Mouse, fingers and keys on the canvas.

const TURN_PER_PIXEL = 0.008;
// Half the height seen, as shares of the diagonal.
const NEAREST = 0.005, FARTHEST = 3;
const WHEEL_ZOOM = 0.003, MOST_WHEEL = 60;
// A press that moves less than so many pixels is a click.
const CLICK_TRAVEL = 5;
// The disc of a mark: how far above its tip its middle is, and its radius, in pixels.
const DISC_RISE = 17, DISC_RADIUS = 17;
const KEY_MOVE = 30, KEY_TURN = 12, KEY_NEARER = 0.87, KEY_FARTHER = 1.15;

/**
 * Moves the part by pixels of the page.
 * @param {Viewer} viewer
 * @param {number} dx
 * @param {number} dy
 */
function shiftView({ canvas, space, state: { camera } }, dx, dy) {
  const { right, up } = screenAxes(space, camera), mmPerPixel = 2 * camera.half / canvas.clientHeight;
  camera.target = add(add(camera.target, right, -dx * mmPerPixel), up, dy * mmPerPixel);
}

/**
 * @param {Viewer} viewer
 * @param {number} factor Above 1 more is seen.
 */
function zoomView({ space: { diagonal }, state: { camera } }, factor) {
  camera.half = Math.min(diagonal * FARTHEST, Math.max(diagonal * NEAREST, camera.half * factor));
}

/**
 * Zooms, what lies under a place of the canvas staying there.
 * @param {Viewer} viewer
 * @param {Spot} spot
 * @param {number} factor Above 1 more is seen.
 */
function zoomAt(viewer, [x, y], factor) {
  const { canvas, state: { camera } } = viewer;
  const before = camera.half;
  zoomView(viewer, factor);
  const moved = 1 - camera.half / before;
  const dx = (x - canvas.clientWidth / 2) * moved, dy = (y - canvas.clientHeight / 2) * moved;
  // A shift is in pixels of the new zoom.
  shiftView(viewer, -dx * before / camera.half, -dy * before / camera.half);
}

/**
 * Turns the part by pixels of the page.
 * @param {Viewer} viewer
 * @param {number} dx
 * @param {number} dy
 */
function turnView({ state: { camera } }, dx, dy) {
  camera.azimuth -= dx * TURN_PER_PIXEL;
  camera.elevation = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, camera.elevation + dy * TURN_PER_PIXEL));
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {MouseEvent} event
 * @returns {Spot}
 */
function spotOf(canvas, event) {
  const box = canvas.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

/** @param {Viewer} viewer */
function connectPointer(viewer) {
  const { canvas, pointer, frames } = viewer;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    cancelAnimationFrame(frames.animation);
    pointer.pressed.set(event.pointerId, spotOf(canvas, event));
    pointer.travel = 0;
  });
  canvas.addEventListener("pointermove", (event) => onPointerMove(viewer, event));
  const release = (/** @type {PointerEvent} */ event) => {
    const wasPressed = pointer.pressed.delete(event.pointerId);
    if (wasPressed && pointer.travel < CLICK_TRAVEL && event.type === "pointerup") onClick(viewer, spotOf(canvas, event));
    else requestDraw(viewer);
  };
  canvas.addEventListener("pointerup", release);
  canvas.addEventListener("pointercancel", release);
  canvas.addEventListener("pointerleave", () => { pointer.at = null; });
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    zoomAt(viewer, spotOf(canvas, event), Math.exp(Math.max(-MOST_WHEEL, Math.min(MOST_WHEEL, event.deltaY)) * WHEEL_ZOOM));
    drawMoving(viewer);
  }, { passive: false });
}

/**
 * @param {Viewer} viewer
 * @param {PointerEvent} event
 */
function onPointerMove(viewer, event) {
  const { canvas, pointer } = viewer;
  const now = spotOf(canvas, event), before = pointer.pressed.get(event.pointerId);
  pointer.at = now;
  if (!before) {
    requestDraw(viewer);
    return;
  }
  const dx = now[0] - before[0], dy = now[1] - before[1];
  pointer.travel += Math.abs(dx) + Math.abs(dy);
  const other = [...pointer.pressed].find(([id]) => id !== event.pointerId)?.[1];
  if (other) {
    const distance = (/** @type {Spot} */ spot) => Math.hypot(spot[0] - other[0], spot[1] - other[1]) || 1;
    zoomView(viewer, distance(before) / distance(now));
    shiftView(viewer, dx / 2, dy / 2);
  } else if (event.shiftKey || event.buttons & 6) shiftView(viewer, dx, dy);
  else turnView(viewer, dx, dy);
  pointer.pressed.set(event.pointerId, now);
  drawMoving(viewer);
}

/**
 * A click on a mark goes there; anywhere else it reads.
 * @param {Viewer} viewer
 * @param {Spot} spot
 */
function onClick(viewer, spot) {
  if (viewer.state.isMeasuring) {
    takePoint(viewer, spot);
    return;
  }
  const mark = markAt(viewer, spot);
  if (mark) {
    goToMark(viewer, mark);
    openCause(mark.cause);
  } else {
    viewer.pointer.at = spot;
    requestDraw(viewer);
  }
}

/**
 * Takes the point of the part under a place as one that is measured between.
 * @param {Viewer} viewer
 * @param {Spot} spot
 */
function takePoint(viewer, [x, y]) {
  const { state, renderer, root } = viewer;
  const view = viewNow(viewer);
  const found = readPixel(renderer, view, Math.floor(x * view.pixelRatio), Math.floor(y * view.pixelRatio));
  if (!found?.front) return;
  state.measured = state.measured.length < 2 ? [...state.measured, found.at] : [found.at];
  control(root, "readout", HTMLElement).textContent = measuredText(state.measured);
  requestDraw(viewer);
}

/**
 * The mark whose disc is nearest to a place within it.
 * @param {Viewer} viewer
 * @param {Spot} spot
 */
function markAt(viewer, [x, y]) {
  const { canvas, scene, space, state } = viewer;
  const view = viewNow(viewer), pixelsPerMm = canvas.clientHeight / 2 / view.half;
  let nearest = null, least = DISC_RADIUS;
  for (const mark of scene.marks) {
    if (state.unshown.has(mark.show) || !isMarked(state, mark)) continue;
    const from = add(add(mark.at, space.pull, mark.side * view.separation), view.target, -1);
    const px = canvas.clientWidth / 2 + dot(from, view.right) * pixelsPerMm;
    const py = canvas.clientHeight / 2 - dot(from, view.up) * pixelsPerMm - DISC_RISE;
    const away = Math.hypot(px - x, py - y);
    if (away < least) [nearest, least] = [mark, away];
  }
  return nearest;
}

/**
 * Whether a mark shows: of a chosen cause all places do, else the worst of each.
 * @param {State} state
 * @param {Mark} mark
 */
const isMarked = (state, mark) =>
  mark.cause === null || (state.chosenCause === null ? mark.first : mark.cause === state.chosenCause);

/**
 * @param {Viewer} viewer
 * @param {KeyboardEvent} event
 */
function onKey(viewer, event) {
  /** @type {Record<string, [number, number]>} */
  const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const arrow = arrows[event.key];
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (arrow && event.shiftKey) shiftView(viewer, arrow[0] * -KEY_MOVE, arrow[1] * -KEY_MOVE);
  else if (arrow) turnView(viewer, arrow[0] * -KEY_TURN, arrow[1] * -KEY_TURN);
  else if (event.key === "+" || event.key === "=") zoomView(viewer, KEY_NEARER);
  else if (event.key === "-" || event.key === "_") zoomView(viewer, KEY_FARTHER);
  else if (event.key === "Home" || event.key === "0") showWhole(viewer);
  else if (event.key !== "Enter" && event.key !== " ") return;
  event.preventDefault();
  viewer.pointer.at = [viewer.canvas.clientWidth / 2, viewer.canvas.clientHeight / 2];
  drawMoving(viewer);
}
