// @ts-check
// The part on the canvas: frames, and what is read from them.

/** @typedef {[number, number]} Spot A place of the canvas in pixels of the page, from its left top. */

/**
 * @typedef {object} Viewer
 * @property {HTMLElement} root
 * @property {HTMLCanvasElement} canvas
 * @property {Scene} scene
 * @property {Solid} solid
 * @property {Space} space
 * @property {State} state
 * @property {Renderer} renderer
 * @property {Pointer} pointer
 * @property {Frames} frames
 */

/**
 * @typedef {object} Pointer
 * @property {Spot | null} at What is read in each frame.
 * @property {Map<number, Spot>} pressed Fingers and buttons that are down, by the id of their pointer.
 * @property {number} travel How far they moved since, in pixels.
 */

/**
 * @typedef {object} Frames
 * @property {number} count
 * @property {boolean} isWaiting Whether one is asked for already.
 * @property {boolean} isMoving Whether the view has not come to rest.
 * @property {number} restTimer
 * @property {number} play The next frame of the filling that plays.
 * @property {number} animation The frame asked for by a move of the camera.
 */

// A part of so many facets is drawn coarsely while the view moves, where all of it takes so many milliseconds.
const MANY_FACETS = 60000, SLOW_MS = 25;
// The coarse surface should take no more milliseconds than this.
const COARSE_MS = 60;
// The view rests after so many milliseconds, twice as many while a button is down.
const REST_MS = 200;
// Sharper than this the eye does not see.
const MOST_PIXEL_RATIO = 2;

/**
 * The part of the viewer that says `data-is`.
 * @template {Element} T
 * @param {Element} root
 * @param {string} name
 * @param {new () => T} type
 */
function control(root, name, type) {
  const found = root.querySelector(`[data-is="${name}"]`);
  if (!(found instanceof type)) throw new Error(name);
  return found;
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {Scene} scene
 * @param {Solid} solid
 */
function createRendererOn(canvas, scene, solid) {
  const gl = canvas.getContext("webgl2", { antialias: true, alpha: false, stencil: true });
  return gl && createRenderer(gl, scene, solid);
}

/** @param {Viewer} viewer */
const aspectOf = ({ canvas }) => (canvas.clientWidth || 1) / (canvas.clientHeight || 1);

/** @param {Viewer} viewer */
const viewNow = ({ scene, space, state, canvas, frames }) => viewOf(scene, space, state, { canvas, isMoving: frames.isMoving });

/**
 * Draws once more in the next frame.
 * @param {Viewer} viewer
 */
function requestDraw(viewer) {
  const { frames } = viewer;
  if (frames.isWaiting) return;
  frames.isWaiting = true;
  requestAnimationFrame(() => {
    frames.isWaiting = false;
    drawFrame(viewer);
  });
}

/** @param {Viewer} viewer */
function drawFrame(viewer) {
  const { canvas, renderer, pointer, frames } = viewer;
  // On paper there is no canvas, and nothing to be drawn on it.
  if (!canvas.clientWidth || !canvas.clientHeight) return;
  const isPressed = pointer.pressed.size > 0;
  fitCanvas(canvas);
  const view = viewNow(viewer);
  drawScene(renderer, view);
  drawOver(viewer, view);
  if (pointer.at && !isPressed) readAt(viewer, pointer.at);
  frames.count += 1;
  canvas.dataset.frames = String(frames.count);
  canvas.dataset.detail = frames.isMoving && renderer.coarse ? "coarse" : "full";
  // The rest begins when the frame is there, however long that took.
  clearTimeout(frames.restTimer);
  if (frames.isMoving) frames.restTimer = setTimeout(() => rest(viewer), isPressed ? 2 * REST_MS : REST_MS);
}

/** @param {HTMLCanvasElement} canvas */
function fitCanvas(canvas) {
  const ratio = Math.min(devicePixelRatio || 1, MOST_PIXEL_RATIO);
  const wide = Math.max(1, Math.round(canvas.clientWidth * ratio)), high = Math.max(1, Math.round(canvas.clientHeight * ratio));
  if (canvas.width !== wide || canvas.height !== high) [canvas.width, canvas.height] = [wide, high];
}

/**
 * Draws while the view moves; all of the part is drawn again when it rests.
 * @param {Viewer} viewer
 */
function drawMoving(viewer) {
  clearTimeout(viewer.frames.restTimer);
  viewer.frames.isMoving = true;
  requestDraw(viewer);
}

/** @param {Viewer} viewer */
function rest(viewer) {
  viewer.frames.isMoving = false;
  requestDraw(viewer);
}

/**
 * Where all of the part is slow to draw, makes something quicker.
 * @param {Viewer} viewer
 */
function addCoarse(viewer) {
  const { canvas, scene, solid, renderer } = viewer;
  if (scene.facets < MANY_FACETS || renderer.coarse) return;
  const takes = measureDrawing(renderer, viewNow(viewer));
  canvas.dataset.pace = String(Math.round(takes));
  if (takes < SLOW_MS) return;
  renderer.coarse = loadSurface(renderer.gl, coarsenSurface(solid, scene.facets * COARSE_MS / takes));
}

/**
 * Reads the surface under a place of the canvas.
 * @param {Viewer} viewer
 * @param {Spot} spot
 */
function readAt(viewer, [x, y]) {
  const { root, scene, state, renderer } = viewer;
  const view = viewNow(viewer);
  const found = readPixel(renderer, view, Math.floor(x * view.pixelRatio), Math.floor(y * view.pixelRatio));
  const readout = control(root, "readout", HTMLElement);
  const isOutside = found !== null && found.front;
  readout.textContent = isOutside ? surfaceText(scene, found) : !found ? "nothing here"
    : view.cutPlane ? "cut face" : "cut: inside of the part";
  readout.dataset.values = isOutside ? JSON.stringify(found) : "";
  if (state.isMeasuring) readout.textContent = measuredText(state.measured);
  const field = scene.fields[state.field];
  pointNeedles(viewer, field, field && isOutside ? found.values[state.field] : null);
}

/**
 * @param {Scene} scene
 * @param {Found} found
 */
function surfaceText(scene, found) {
  const face = scene.faces[found.face];
  const place = `(${found.at.map((it) => formatNumber(usesInches() ? it / MM_PER_INCH : it, usesInches() ? 3 : 1)).join(", ")})`;
  const parts = [`${place} ${usesInches() ? "in" : "mm"}`, `face ${found.face + 1}` + (face ? ` (${face[0]})` : "")];
  scene.fields.forEach((field, i) => {
    if (!field.known) return;
    const value = found.values[i];
    const written = value !== null && field.unit === "mm" ? lengthText(value)
      : `${formatNumber(value ?? 0, field.digits)}${field.unit === "°" ? "" : " "}${field.unit}`;
    parts.push(value === null ? `${field.name}: ${field.gap}` : `${field.name} ${written}`);
  });
  if (found.kind !== null) parts.push(scene.kinds[found.kind].name);
  return parts.join(" · ");
}

/**
 * Points at a value in the legends.
 * @param {Viewer} viewer
 * @param {Field | undefined} field
 * @param {number | null} value
 */
function pointNeedles({ root, scene: { bar } }, field, value) {
  const isKnown = field !== undefined && value !== null;
  const share = isKnown ? Math.min(1, Math.max(0, (value - field.low) / (field.high - field.low))) : 0;
  for (const needle of root.querySelectorAll(".needle")) {
    needle.setAttribute("visibility", isKnown ? "visible" : "hidden");
    needle.setAttribute("transform", `translate(${bar.left + (bar.right - bar.left) * share} ${bar.top})`);
  }
}
