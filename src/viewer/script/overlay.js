// @ts-check
// What lies over the canvas: the axes of the part, a bar of round length, and the points that are measured between.

// Length of an axis and room around the cross, in pixels.
const AXIS = 30, AXIS_ROOM = 46;
// The bar is at most so many pixels long.
const LONGEST_BAR = 110;
/** @type {[string, Vector][]} */
const AXES = [["x", [1, 0, 0]], ["y", [0, 1, 0]], ["z", [0, 0, 1]]];

/**
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 * @param {string} text
 */
function shape(name, attributes, text = "") {
  const space = document.querySelector("svg")?.namespaceURI ?? null;
  const element = document.createElementNS(space, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  element.textContent = text;
  return element;
}

/**
 * Where a place of the part is on the canvas.
 * @param {Viewer} viewer
 * @param {View} view
 * @param {Vector} at
 * @returns {Spot}
 */
function spotOnCanvas({ canvas }, view, at) {
  const from = add(at, view.target, -1), pixelsPerMm = canvas.clientHeight / 2 / view.half;
  return [canvas.clientWidth / 2 + dot(from, view.right) * pixelsPerMm, canvas.clientHeight / 2 - dot(from, view.up) * pixelsPerMm];
}

/**
 * The greatest of 1, 2, 5 times a power of ten that is no more than `most`.
 * @param {number} most
 */
function roundLength(most) {
  const power = 10 ** Math.floor(Math.log10(most));
  return [5, 2, 1].map((step) => step * power).find((length) => length <= most * (1 + 1e-9)) ?? power;
}

/**
 * Draws all of it anew.
 * @param {Viewer} viewer
 * @param {View} view
 */
function drawOver(viewer, view) {
  const { root, canvas } = viewer;
  const over = root.querySelector('[data-is="over"]');
  if (!over) return;
  const high = canvas.clientHeight, wide = canvas.clientWidth;
  over.setAttribute("viewBox", `0 0 ${wide} ${high}`);
  over.replaceChildren(...axisCross(view, high), ...scaleBar(view, canvas), ...measured(viewer, view));
}

/**
 * @param {View} view
 * @param {number} high
 */
function axisCross({ right, up }, high) {
  const x = AXIS_ROOM, y = high - AXIS_ROOM;
  return AXES.flatMap(([name, axis]) => {
    const dx = dot(axis, right) * AXIS, dy = -dot(axis, up) * AXIS;
    return [
      shape("line", { class: "axis", x1: x, y1: y, x2: x + dx, y2: y + dy }),
      shape("text", { x: x + dx * 1.3, y: y + dy * 1.3 + 4, "text-anchor": "middle" }, name),
    ];
  });
}

/**
 * @param {View} view
 * @param {HTMLCanvasElement} canvas
 */
function scaleBar(view, canvas) {
  const mmPerPixel = 2 * view.half / canvas.clientHeight, inInches = usesInches();
  const perUnit = inInches ? MM_PER_INCH : 1;
  const length = roundLength(LONGEST_BAR * mmPerPixel / perUnit), pixels = length * perUnit / mmPerPixel;
  const end = canvas.clientWidth - 16, foot = canvas.clientHeight - 14;
  return [
    shape("path", { class: "bar-line", d: `M${end - pixels} ${foot - 6} v6 h${pixels} v-6` }),
    shape("text", { x: end, y: foot - 10, "text-anchor": "end" }, `${Number(length.toPrecision(2))} ${inInches ? "in" : "mm"}`),
  ];
}

/**
 * @param {Viewer} viewer
 * @param {View} view
 */
function measured(viewer, view) {
  const spots = viewer.state.measured.map((at) => spotOnCanvas(viewer, view, at));
  const dots = spots.map(([x, y]) => shape("circle", { class: "measured", cx: x, cy: y, r: 5 }));
  if (spots.length < 2) return dots;
  const [[x1, y1], [x2, y2]] = spots;
  return [shape("line", { class: "measured", x1, y1, x2, y2 }), ...dots];
}

/**
 * What is said of the points that are measured between.
 * @param {Vector[]} points
 */
function measuredText(points) {
  if (points.length < 2) return points.length ? "Click the second point" : "Click two points of the part";
  const apart = add(points[1], points[0], -1);
  return `${lengthText(Math.hypot(...apart))} apart; along x, y, z: ${apart.map((it) => lengthText(it)).join(", ")}`;
}
