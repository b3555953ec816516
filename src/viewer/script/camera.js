// @ts-check
// From where the part is seen, and what of it is cut away.

/**
 * The part's box, and its axes: along the pull and across it, unit vectors.
 * @typedef {object} Space
 * @property {Vector} size
 * @property {Vector} middle
 * @property {number} diagonal
 * @property {Vector} pull
 * @property {Vector} ahead
 * @property {Vector} aside
 */

/** @typedef {{ azimuth: number, elevation: number }} Angles Where the eye is around the pull and above its foot, rad. */

/** @typedef {Angles & { target: Vector, half: number }} Camera The place in the middle, and half the height seen, mm. */

/** @typedef {"none" | "pull" | "ahead" | "aside" | "eye"} CutAxis */

/**
 * What the controls set.
 * @typedef {object} State
 * @property {Camera} camera
 * @property {number} field Index of the field that colors, -1 for the kinds, -2 for the problems.
 * @property {number} apart How far the halves are apart, 0 to 1.
 * @property {CutAxis} cutAxis
 * @property {number} cutShare How much of the part is left, 0 to 1.
 * @property {number | null} shownUntil What the melt reaches later is left out, s; null shows all.
 * @property {Mark | null} uncovered The mark before which the part is cut open.
 * @property {Set<string>} unshown Keys of marks and lines that are not shown.
 * @property {number | null} chosenCause The cause all of whose places are marked; null marks the worst of each.
 * @property {boolean} isMeasuring Whether a click takes a point to measure from.
 * @property {Vector[]} measured The points taken, at most two.
 */

/**
 * What a frame is drawn from.
 * @typedef {object} View
 * @property {Vector} right
 * @property {Vector} up
 * @property {Vector} toEye
 * @property {Vector} target
 * @property {number} half
 * @property {number} width Pixels of the canvas.
 * @property {number} height
 * @property {number} pixelRatio Pixels of the canvas in one of the page.
 * @property {number} depthRange
 * @property {number} separation How far each half is moved, mm.
 * @property {Cut} cut
 * @property {boolean} isCut
 * @property {number[] | null} cutPlane Four corners of the plane that closes the cut, where it is closed.
 * @property {number | null} shownUntil
 * @property {boolean} isMoving
 * @property {number} field
 * @property {Set<string>} unshown
 * @property {number | null} chosenCause
 */

/** @typedef {[...Vector, number]} Cut Normal of a plane and its distance along it; what lies beyond is left out. */

/** @type {Angles} */
const HOME = { azimuth: -1.0, elevation: 0.5 };
// Some paper around the part.
const MARGIN = 1.12;
// The halves move apart by up to this share of the diagonal.
const MOST_APART = 0.3;
// The part is cut open this share of the diagonal before a place that is hidden.
const UNCOVERED = 0.002;
/** @type {Cut} */
const NO_CUT = [0, 0, 0, 1];

/**
 * @param {Scene} scene
 * @returns {Space}
 */
function measureSpace(scene) {
  const size = scale(scene.step, scene.codes.last);
  const pull = scene.pull;
  /** @type {Vector} */
  const helper = Math.abs(pull[2]) > 0.9 ? [1, 0, 0] : [0, 0, 1];
  const ahead = normalize(add(helper, pull, -dot(helper, pull)));
  return {
    size, middle: add(scene.low, size, 0.5), diagonal: Math.hypot(...size) || 1, pull, ahead, aside: cross(pull, ahead),
  };
}

/**
 * Unit vectors to the right, up and towards the eye.
 * @param {Space} space
 * @param {Angles} angles
 */
function screenAxes({ pull, ahead, aside }, { azimuth, elevation }) {
  const level = add(scale(ahead, Math.cos(azimuth)), aside, Math.sin(azimuth));
  const toEye = add(scale(level, Math.cos(elevation)), pull, Math.sin(elevation));
  const right = add(scale(aside, Math.cos(azimuth)), ahead, -Math.sin(azimuth));
  return { right, up: cross(toEye, right), toEye };
}

/**
 * All of the part, seen from `angles` on a canvas of `aspect` (width over height).
 * @param {Space} space
 * @param {Angles} angles
 * @param {number} aspect
 * @param {number} apart How far the halves are apart, 0 to 1.
 * @returns {Camera}
 */
function fitCamera(space, angles, aspect, apart) {
  const { right, up } = screenAxes(space, angles), moved = apart * space.diagonal * MOST_APART;
  const extent = (/** @type {Vector} */ axis) => halfExtent(space, axis) + moved * Math.abs(dot(space.pull, axis));
  return { ...angles, target: space.middle, half: MARGIN * Math.max(extent(up), extent(right) / aspect) };
}

/**
 * Half of how far the part's box reaches along `axis`.
 * @param {Space} space
 * @param {Vector} axis
 */
const halfExtent = ({ size }, axis) => (Math.abs(axis[0]) * size[0] + Math.abs(axis[1]) * size[1] + Math.abs(axis[2]) * size[2]) / 2;

/**
 * The angles from which one looks against `look`; straight along the pull the azimuth stays.
 * @param {Space} space
 * @param {Vector} look
 * @param {Angles} now
 * @returns {Angles}
 */
function anglesTowards({ pull, ahead, aside }, look, now) {
  const x = dot(look, ahead), y = dot(look, aside);
  return {
    elevation: Math.asin(Math.max(-1, Math.min(1, dot(look, pull)))),
    azimuth: Math.hypot(x, y) < 1e-6 ? now.azimuth : Math.atan2(y, x),
  };
}

/**
 * The plane that cuts.
 * @param {Space} space
 * @param {State} state
 * @param {Vector} toEye
 * @returns {Cut}
 */
function cutOf(space, state, toEye) {
  if (state.uncovered) {
    const { look, at } = state.uncovered;
    return [...look, dot(look, at) + space.diagonal * UNCOVERED];
  }
  if (state.cutAxis === "none") return NO_CUT;
  const { pull, ahead, aside } = space;
  const normal = { pull: scale(pull, -1), ahead: scale(ahead, -1), aside: scale(aside, -1), eye: toEye }[state.cutAxis];
  return [...normal, dot(normal, space.middle) + halfExtent(space, normal) * (2 * state.cutShare - 1)];
}

/**
 * Corners of the plane that cuts, where what it cuts is closed: whole, or halves that close on their own, with all of the surface.
 * @param {Scene} scene
 * @param {Space} space
 * @param {State} state
 * @param {Cut} cut
 */
function closingPlane(scene, { middle, diagonal }, state, cut) {
  const isWhole = state.apart === 0 || !scene.solids.includes(0);
  if (!scene.closed || !isWhole || state.shownUntil !== null || cut === NO_CUT) return null;
  /** @type {Vector} */
  const normal = [cut[0], cut[1], cut[2]];
  const along = normalize(cross(normal, Math.abs(normal[0]) < 0.7 ? [1, 0, 0] : [0, 1, 0]));
  const across = cross(normal, along), foot = add(middle, normal, cut[3] - dot(normal, middle));
  return [[-1, -1], [1, -1], [-1, 1], [1, 1]].flatMap(([a, b]) => add(add(foot, along, a * diagonal), across, b * diagonal));
}

/**
 * @param {Scene} scene
 * @param {Space} space
 * @param {State} state
 * @param {{ canvas: HTMLCanvasElement, isMoving: boolean }} drawn
 * @returns {View}
 */
function viewOf(scene, space, state, { canvas, isMoving }) {
  const { camera } = state;
  const axes = screenAxes(space, camera);
  const separation = state.apart * space.diagonal * MOST_APART, cut = cutOf(space, state, axes.toEye);
  return {
    ...axes, target: camera.target, half: camera.half, width: canvas.width, height: canvas.height,
    pixelRatio: canvas.width / (canvas.clientWidth || 1),
    depthRange: space.diagonal * 1.5 + separation * 2 + Math.hypot(...add(camera.target, space.middle, -1)),
    separation, cut, isCut: cut !== NO_CUT, cutPlane: closingPlane(scene, space, state, cut),
    shownUntil: state.shownUntil, isMoving, field: state.field, unshown: state.unshown, chosenCause: state.chosenCause,
  };
}
