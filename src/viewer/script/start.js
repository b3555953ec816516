// @ts-check
// Shows the part where the browser can draw it; elsewhere the pictures of the page say the same.

/**
 * @param {HTMLElement} root
 * @param {Scene} scene
 * @param {Solid} solid
 * @param {AbortSignal} signal
 */
function startViewer(root, scene, solid, signal) {
  const canvas = control(root, "canvas", HTMLCanvasElement);
  const renderer = createRendererOn(canvas, scene, solid);
  if (!renderer) return;
  const space = measureSpace(scene);
  /** @type {Viewer} */
  const viewer = {
    root, canvas, scene, solid, space, renderer,
    state: {
      camera: { ...HOME, target: space.middle, half: space.diagonal }, field: -1,
      apart: shareOf(control(root, "apart", HTMLInputElement)), cutAxis: "none", cutShare: 0.5,
      shownUntil: null, uncovered: null, unshown: new Set(),
      chosenCause: null, isMeasuring: false, measured: [],
    },
    pointer: { at: null, pressed: new Map(), travel: 0 },
    frames: { count: 0, isWaiting: false, isMoving: false, restTimer: 0, play: 0, animation: 0 },
  };
  canvas.addEventListener("webglcontextlost", (event) => {
    event.preventDefault();
    // Nothing can be drawn until it is restored.
    viewer.frames.isWaiting = true;
  });
  canvas.addEventListener("webglcontextrestored", () => restart(viewer));
  root.hidden = false;
  const pictures = document.getElementById("pictures");
  if (pictures instanceof HTMLDetailsElement && location.hash !== "#pictures") pictures.open = false;
  document.documentElement.classList.add("turns");
  // The canvas has its size only now.
  viewer.state.camera = fitCamera(space, HOME, aspectOf(viewer), viewer.state.apart);
  connectControls(viewer, signal);
  colorBy(viewer, control(root, "color", HTMLSelectElement).value);
  const resized = new ResizeObserver(() => requestDraw(viewer));
  resized.observe(canvas);
  canvas.dataset.state = "ready";
  const coarse = setTimeout(() => addCoarse(viewer), 50);
  signal.addEventListener("abort", () => {
    resized.disconnect();
    clearTimeout(coarse);
    endViewer(viewer);
  });
}

/**
 * Draws no more, and gives back what the graphics card holds: a browser keeps only a few canvases alive.
 * @param {Viewer} viewer
 */
function endViewer({ frames, renderer }) {
  cancelAnimationFrame(frames.play);
  cancelAnimationFrame(frames.animation);
  clearTimeout(frames.restTimer);
  frames.isWaiting = true;
  renderer.gl.getExtension("WEBGL_lose_context")?.loseContext();
}

/**
 * Puts everything on the graphics card again, which has lost it.
 * @param {Viewer} viewer
 */
function restart(viewer) {
  viewer.frames.isWaiting = false;
  const renderer = createRendererOn(viewer.canvas, viewer.scene, viewer.solid);
  if (!renderer) return;
  viewer.renderer = renderer;
  requestDraw(viewer);
  addCoarse(viewer);
}

/** Whether the browser draws in three dimensions; what that takes is given back. */
function canDraw() {
  const gl = document.createElement("canvas").getContext("webgl2");
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return gl !== null && "DecompressionStream" in window;
}

/**
 * Makes the page work: units, what is folded, and the part where the browser can draw it.
 * @param {AbortSignal} signal Ends it.
 */
async function startReport(signal) {
  startPage(signal);
  const root = document.getElementById("solid");
  const text = (/** @type {string} */ id) => document.getElementById(id)?.textContent ?? "";
  if (!root || !canDraw()) return;
  try {
    /** @type {Scene} */
    const scene = JSON.parse(text("scene"));
    const solid = await unpack(text("surface"), scene);
    if (!signal.aborted) startViewer(root, scene, solid, signal);
  } catch (problem) {
    root.hidden = true;
    console.error(problem);
  }
}
