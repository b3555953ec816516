// @ts-check
// The controls beside the canvas, and the moves of the camera that they start.

const MOVE_MS = 450;
// The coloring that shows problems only.
const PROBLEMS = -2;
// The filling plays in so many milliseconds.
const PLAY_MS = 5000;
// Half the height seen around a mark that one goes to, as a share of the diagonal.
const CLOSE_UP = 0.2;
// The slider of the melt front has so many steps; above the last of them everything is shown.
const TIME_STEPS = 200, ALL_TIME = 0.994; // A browser may round the last step down to the one before.

/** Whether moves on the screen are to be left out. */
const isMotionReduced = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/**
 * How far along a slider that begins at 0 stands.
 * @param {HTMLInputElement} slider
 */
const shareOf = (slider) => Number(slider.value) / Number(slider.max);

/**
 * The slider of the melt front, where the part was filled.
 * @param {Viewer} viewer
 */
const timeSlider = ({ root }) => /** @type {HTMLInputElement | null} */ (root.querySelector('[data-is="time"]'));

/**
 * Colors the part by `key`.
 * @param {Viewer} viewer
 * @param {string} key
 */
function colorBy(viewer, key) {
  viewer.state.field = key === "problem" ? PROBLEMS : fieldIndex(viewer.scene, key);
  const legends = /** @type {NodeListOf<HTMLElement>} */ (viewer.root.querySelectorAll("[data-legend]"));
  for (const legend of legends) legend.hidden = legend.dataset.legend !== key;
  control(viewer.root, "color", HTMLSelectElement).value = key;
  requestDraw(viewer);
}

/**
 * Moves the camera to `to`.
 * @param {Viewer} viewer
 * @param {Camera} to
 */
function moveCamera(viewer, to) {
  const { canvas, state, frames } = viewer;
  cancelAnimationFrame(frames.animation);
  const from = { ...state.camera };
  // The shorter way around.
  let turn = (to.azimuth - from.azimuth) % (2 * Math.PI);
  if (turn > Math.PI) turn -= 2 * Math.PI;
  if (turn < -Math.PI) turn += 2 * Math.PI;
  const began = performance.now(), lasts = isMotionReduced() ? 0 : MOVE_MS;
  canvas.dataset.flying = "yes";
  const step = (/** @type {number} */ now) => {
    const share = lasts ? Math.min(1, Math.max(0, (now - began) / lasts)) : 1;
    const eased = share * share * (3 - 2 * share);
    state.camera = {
      azimuth: from.azimuth + turn * eased,
      elevation: from.elevation + (to.elevation - from.elevation) * eased,
      target: add(from.target, add(to.target, from.target, -1), eased),
      half: from.half * (to.half / from.half) ** eased,
    };
    if (share < 1) {
      drawMoving(viewer);
      frames.animation = requestAnimationFrame(step);
    } else {
      requestDraw(viewer);
      canvas.dataset.flying = "";
    }
  };
  step(began);
}

/**
 * Shows a mark from near by, the part cut open where something stands before it.
 * @param {Viewer} viewer
 * @param {Mark} mark
 */
function goToMark(viewer, mark) {
  const { root, space, state, pointer } = viewer;
  stopPlaying(viewer);
  if (mark.field) colorBy(viewer, mark.field);
  state.chosenCause = mark.cause;
  control(root, "back", HTMLElement).hidden = mark.cause === null;
  Object.assign(state, { shownUntil: null, apart: 0, cutAxis: "none", uncovered: mark.hidden ? mark : null });
  showState(viewer);
  pointer.at = null;
  moveCamera(viewer, { ...anglesTowards(space, mark.look, state.camera), target: mark.at, half: space.diagonal * CLOSE_UP });
  control(root, "chosen", HTMLElement).textContent =
    `${mark.text}: ${usesInches() ? mark.inches : mark.what}` + (mark.hidden ? " (cut open, since something stands before it)" : "");
}

/** @param {Viewer} viewer */
function showWhole(viewer) {
  viewer.state.uncovered = null;
  viewer.pointer.at = null;
  moveCamera(viewer, fitCamera(viewer.space, HOME, aspectOf(viewer), viewer.state.apart));
}

/**
 * Sets the controls as the state is.
 * @param {Viewer} viewer
 */
function showState(viewer) {
  const { root, state } = viewer;
  const apart = control(root, "apart", HTMLInputElement), cut = control(root, "cut", HTMLInputElement);
  apart.value = String(state.apart * Number(apart.max));
  control(root, "cut-axis", HTMLSelectElement).value = state.cutAxis;
  cut.value = String(state.cutShare * Number(cut.max));
  cut.disabled = state.cutAxis === "none";
  const time = timeSlider(viewer), until = state.shownUntil;
  if (time) {
    time.value = until === null ? time.max : String(until);
    control(root, "time-now", HTMLElement).textContent = until === null ? "all" : formatNumber(until, 2) + " s";
  }
  requestDraw(viewer);
}

/**
 * @param {Viewer} viewer
 * @param {AbortSignal} signal
 */
function connectControls(viewer, signal) {
  const { root, state } = viewer;
  const color = control(root, "color", HTMLSelectElement);
  color.addEventListener("change", () => colorBy(viewer, color.value));
  const boxes = /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll("[data-show]"));
  for (const box of boxes) {
    const show = () => {
      const key = box.dataset.show ?? "";
      if (box.checked) state.unshown.delete(key);
      else state.unshown.add(key);
      requestDraw(viewer);
    };
    show();
    box.addEventListener("change", show);
  }
  const apart = control(root, "apart", HTMLInputElement);
  apart.addEventListener("input", () => {
    stopPlaying(viewer);
    Object.assign(state, { apart: shareOf(apart), uncovered: null });
    requestDraw(viewer);
  });
  const cutAxis = control(root, "cut-axis", HTMLSelectElement), cut = control(root, "cut", HTMLInputElement);
  cutAxis.addEventListener("change", () => {
    stopPlaying(viewer);
    Object.assign(state, { cutAxis: cutAxis.value, uncovered: null });
    showState(viewer);
  });
  cut.addEventListener("input", () => {
    state.cutShare = shareOf(cut);
    requestDraw(viewer);
  });
  connectTime(viewer);
  connectLooks(viewer);
  connectCauses(viewer);
  connectSwitches(viewer);
  addEventListener("units", () => {
    if (state.isMeasuring) control(root, "readout", HTMLElement).textContent = measuredText(state.measured);
    requestDraw(viewer);
  }, { signal });
  showState(viewer);
  connectPointer(viewer);
  viewer.canvas.addEventListener("keydown", (event) => onKey(viewer, event));
}

/** @param {Viewer} viewer */
function connectTime(viewer) {
  const { scene, state } = viewer;
  const time = timeSlider(viewer);
  if (!time) return;
  const most = greatestValue(scene, scene.fields[fieldIndex(scene, "time")]);
  time.max = String(most);
  time.step = String(most / TIME_STEPS);
  time.addEventListener("input", () => {
    stopPlaying(viewer);
    const until = Number(time.value);
    Object.assign(state, { shownUntil: until >= most * ALL_TIME ? null : until, uncovered: null });
    showState(viewer);
    colorBy(viewer, "time");
  });
}

/** @param {Viewer} viewer */
function connectLooks(viewer) {
  const { root, space, state } = viewer;
  control(root, "whole", HTMLButtonElement).addEventListener("click", () => showWhole(viewer));
  /** @type {Record<string, Vector>} */
  const looks = { plus: space.pull, minus: scale(space.pull, -1), side: space.ahead, other: space.aside };
  const buttons = /** @type {NodeListOf<HTMLButtonElement>} */ (root.querySelectorAll("[data-look]"));
  for (const button of buttons)
    button.addEventListener("click", () => {
      state.uncovered = null;
      const angles = anglesTowards(space, looks[button.dataset.look ?? ""], state.camera);
      moveCamera(viewer, fitCamera(space, angles, aspectOf(viewer), state.apart));
    });
}

/**
 * The buttons beside the causes, the steps that lead to them, and the way back.
 * @param {Viewer} viewer
 */
function connectCauses(viewer) {
  const { root, scene, state } = viewer;
  const behavior = () => (isMotionReduced() ? "auto" : "smooth");
  /** @param {number} cause */
  const show = (cause) => {
    const mark = scene.marks.find((each) => each.cause === cause);
    if (mark) goToMark(viewer, mark);
    return mark !== undefined;
  };
  const buttons = /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("[data-cause]"));
  for (const button of buttons) {
    const cause = Number(button.dataset.cause);
    button.hidden = !scene.marks.some((each) => each.cause === cause);
    button.addEventListener("click", () => {
      if (show(cause)) root.scrollIntoView({ block: "nearest", behavior: behavior() });
    });
  }
  const steps = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll(".first_steps a"));
  for (const step of steps)
    step.addEventListener("click", (event) => {
      // The part stands beside the step; the cause is one more click away.
      if (!show(Number(step.hash.replace("#cause-", "")) - 1)) return;
      event.preventDefault();
      root.scrollIntoView({ block: "nearest", behavior: behavior() });
    });
  control(root, "return", HTMLButtonElement).addEventListener("click", () => openCause(state.chosenCause));
  control(root, "all-causes", HTMLButtonElement).addEventListener("click", () => {
    Object.assign(state, { chosenCause: null });
    control(root, "back", HTMLElement).hidden = true;
    control(root, "chosen", HTMLElement).textContent = "";
    colorBy(viewer, "problem");
    showWhole(viewer);
  });
}

/**
 * Shows a cause in the list, with all that is folded in it.
 * @param {number | null} cause
 */
function openCause(cause) {
  const item = cause === null ? null : document.getElementById(`cause-${cause + 1}`);
  if (!item) return;
  unfold(item);
  const folded = item.querySelector("details");
  if (folded) folded.open = true;
  item.scrollIntoView({ block: "center", behavior: isMotionReduced() ? "auto" : "smooth" });
  /** @type {HTMLElement | null} */ (item.querySelector("[data-cause]"))?.focus({ preventScroll: true });
}

/**
 * Measuring, turning by touch, and playing the filling.
 * @param {Viewer} viewer
 */
function connectSwitches(viewer) {
  const { root, state, canvas } = viewer;
  const measure = control(root, "measure", HTMLButtonElement), touch = control(root, "touch", HTMLButtonElement);
  measure.addEventListener("click", () => {
    // Points stay where they are on the part only while it is whole.
    Object.assign(state, { isMeasuring: !state.isMeasuring, measured: [], apart: 0 });
    showState(viewer);
    measure.setAttribute("aria-pressed", String(state.isMeasuring));
    control(root, "readout", HTMLElement).textContent = state.isMeasuring ? measuredText([]) : "";
    requestDraw(viewer);
  });
  // One finger scrolls the page until it is asked to turn the part.
  touch.addEventListener("click", () => {
    const turns = canvas.classList.toggle("touched");
    touch.setAttribute("aria-pressed", String(turns));
  });
  const play = root.querySelector('[data-is="play"]');
  play?.addEventListener("click", () => playFilling(viewer));
}

/**
 * Ends the play, so that what is chosen meanwhile holds.
 * @param {Viewer} viewer
 */
function stopPlaying({ frames }) {
  cancelAnimationFrame(frames.play);
}

/** @param {Viewer} viewer */
function playFilling(viewer) {
  const { scene, state } = viewer;
  const most = greatestValue(scene, scene.fields[fieldIndex(scene, "time")]);
  const began = performance.now();
  stopPlaying(viewer);
  colorBy(viewer, "time");
  const step = (/** @type {number} */ now) => {
    const share = isMotionReduced() ? 1 : Math.max(0, (now - began) / PLAY_MS);
    Object.assign(state, { shownUntil: share < 1 ? most * share : null, uncovered: null, cutAxis: "none" });
    showState(viewer);
    if (share < 1) viewer.frames.play = requestAnimationFrame(step);
  };
  viewer.frames.play = requestAnimationFrame(step);
}
