// @ts-check
// Everything on the graphics card, and what is done with it: draw, read a pixel, measure how long drawing takes.

/** @typedef {{ buffer: WebGLBuffer, count: number }} Indices */
/** @typedef {{ array: WebGLVertexArrayObject, facets: Indices, edges: Indices }} Loaded A surface on the card. */
/** @typedef {"paint" | "read" | "edge" | "line" | "mark" | "plane"} ProgramName */
/** @typedef {{ width: number, color: number[], towardsEye: number }} Stroke Width in CSS pixels. */

/**
 * @typedef {object} Renderer
 * @property {Gl} gl
 * @property {Scene} scene
 * @property {Record<ProgramName, Program>} programs
 * @property {Loaded} surface
 * @property {Loaded | null} coarse Drawn in place of the surface while the view moves, where there is one.
 * @property {Mark[]} marks
 * @property {WebGLVertexArrayObject} markArray
 * @property {WebGLVertexArrayObject} noArray
 * @property {{ kind: Line["kind"], strip: Strip }[]} lines
 * @property {WebGLTexture} colors
 * @property {WebGLTexture} sheet
 * @property {WebGLFramebuffer} frame
 */

/** @typedef {{ face: number, kind: number | null, front: boolean, values: (number | null)[], at: Vector }} Found What a pixel shows. */

// One stroke over the other: a light rim below what must be seen on every color.
/** @type {Record<Line["kind"], Stroke[]>} */
const STROKES = {
  parting: [{ width: 2.6, color: [1, 1, 1, 1], towardsEye: 0.003 }, { width: 1.3, color: [0.1, 0.11, 0.13, 1], towardsEye: 0.005 }],
  pin: [{ width: 0.9, color: [0.64, 0.24, 0, 1], towardsEye: 0.005 }],
};
const EDGE_INK = [0.06, 0.07, 0.08, 0.6];
const MARK_PIXELS = 48;
// A mark is cut away only where it lies beyond the cut by more than this share of the depth of the view.
const MARK_SLACK = 0.01;
// A limit that no value comes near.
const NO_LIMIT = 1e9;
const NO_VALUE_BITS = 0xffffffff;
const WHOLE_WINDOW = [0, 0, 1, 1];

/**
 * @param {Gl} gl
 * @param {Scene} scene
 * @param {Solid} solid
 * @returns {Renderer}
 */
function createRenderer(gl, scene, solid) {
  const programs = {
    paint: compileProgram(gl, SURFACE_VERTEX, PAINT_FRAGMENT), read: compileProgram(gl, SURFACE_VERTEX, READ_FRAGMENT),
    edge: compileProgram(gl, SURFACE_VERTEX, EDGE_FRAGMENT), line: compileProgram(gl, LINE_VERTEX, LINE_FRAGMENT),
    mark: compileProgram(gl, MARK_VERTEX, MARK_FRAGMENT), plane: compileProgram(gl, PLANE_VERTEX, PLANE_FRAGMENT),
  };
  const marks = scene.marks.slice(0, MOST_MARKS);
  const markArray = gl.createVertexArray();
  gl.bindVertexArray(markArray);
  fillAttribute(gl, 0, new Float32Array(marks.flatMap((mark) => [...mark.at, mark.side])), 4);
  fillAttribute(gl, 1, new Float32Array(marks.flatMap((_, i) => sheetCell(i))), 2);
  fillAttribute(gl, 2, new Float32Array(marks.flatMap((mark) => [mark.cause ?? -1, mark.first ? 1 : 0])), 2);
  gl.bindVertexArray(null);
  const kinds = /** @type {Line["kind"][]} */ (Object.keys(STROKES));
  const lines = kinds.map((kind) => ({ kind, strip: createStrip(gl, scene.lines.filter((line) => line.kind === kind)) }));
  return {
    gl, scene, programs, surface: loadSurface(gl, solid), coarse: null, marks, markArray, noArray: gl.createVertexArray(), lines,
    colors: createColorTable(gl, scene.fields), sheet: createMarkSheet(gl, marks), frame: createNumberFrame(gl),
  };
}

/**
 * @param {Gl} gl
 * @param {Solid} solid
 * @returns {Loaded}
 */
function loadSurface(gl, solid) {
  const array = gl.createVertexArray();
  gl.bindVertexArray(array);
  fillAttribute(gl, 0, solid.places, 4);
  fillAttribute(gl, 1, solid.normals, 4);
  fillAttribute(gl, 2, solid.values, 4);
  fillAttribute(gl, 3, solid.faces, 1);
  const [facets, edges] = [solid.facets, solid.edges].map((list) => ({ buffer: createIndexBuffer(gl, list), count: list.length }));
  gl.bindVertexArray(null);
  return { array, facets, edges };
}

/**
 * Takes a program into use, with what all of them know.
 * @param {Renderer} renderer
 * @param {ProgramName} name
 * @param {View} view
 * @param {number[]} pixelWindow Middle of what is drawn on the screen from -1 to 1, and how much larger it is drawn.
 */
function useProgram({ gl, scene, programs }, name, view, pixelWindow = WHOLE_WINDOW) {
  const { program, uniforms } = programs[name];
  gl.useProgram(program);
  gl.uniform3fv(uniforms.low, scene.low);
  gl.uniform3fv(uniforms.stepSize, scene.step);
  gl.uniform1f(uniforms.noValue, scene.codes.none);
  gl.uniform1f(uniforms.unitNormal, scene.codes.normal);
  gl.uniform4fv(uniforms.base, scene.fields.map((field) => field.base));
  gl.uniform4fv(uniforms.size, scene.fields.map((field) => field.step));
  gl.uniform1i(uniforms.timeField, fieldIndex(scene, "time"));
  gl.uniform3fv(uniforms.pull, scene.pull);
  gl.uniform3fv(uniforms.right, view.right);
  gl.uniform3fv(uniforms.up, view.up);
  gl.uniform3fv(uniforms.toEye, view.toEye);
  gl.uniform3fv(uniforms.target, view.target);
  gl.uniform2f(uniforms.zoom, view.half * view.width / view.height, view.half);
  gl.uniform1f(uniforms.depthRange, view.depthRange);
  gl.uniform1f(uniforms.separation, view.separation);
  gl.uniform4fv(uniforms.cut, view.cut);
  gl.uniform4fv(uniforms.pixelWindow, pixelWindow);
  gl.uniform1f(uniforms.shownUntil, view.shownUntil ?? -1);
  gl.uniform1f(uniforms.onlySide, 0);
  return uniforms;
}

/**
 * @param {Gl} gl
 * @param {Loaded} surface
 * @param {number} mode
 * @param {Indices} indices
 */
function drawIndices(gl, surface, mode, indices) {
  gl.bindVertexArray(surface.array);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, indices.buffer);
  gl.drawElements(mode, indices.count, gl.UNSIGNED_INT, 0);
}

/**
 * @param {Renderer} renderer
 * @param {View} view
 */
function drawScene(renderer, view) {
  const { gl } = renderer;
  const surface = (view.isMoving && renderer.coarse) || renderer.surface;
  gl.viewport(0, 0, view.width, view.height);
  gl.clearColor(1, 1, 1, 1);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
  gl.enable(gl.DEPTH_TEST);
  gl.depthFunc(gl.LEQUAL);
  gl.disable(gl.BLEND);
  drawSurface(renderer, view, surface);
  if (view.cutPlane) for (const side of renderer.scene.solids) closeCut(renderer, view, surface, { plane: view.cutPlane, side });
  gl.enable(gl.BLEND);
  gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
  gl.uniform4fv(useProgram(renderer, "edge", view).ink, EDGE_INK);
  drawIndices(gl, surface, gl.LINES, surface.edges);
  drawLines(renderer, view);
  drawMarks(renderer, view);
  gl.bindVertexArray(null);
}

/**
 * @param {Renderer} renderer
 * @param {View} view
 * @param {Loaded} surface
 */
function drawSurface(renderer, view, surface) {
  const { gl, scene: { fields, kinds, problems, nothing, sound } } = renderer;
  const uniforms = useProgram(renderer, "paint", view);
  gl.activeTexture(gl.TEXTURE0);
  gl.bindTexture(gl.TEXTURE_2D, renderer.colors);
  gl.uniform1i(uniforms.colors, 0);
  gl.uniform1i(uniforms.field, view.field);
  // Joining corners folds a few facets over; only an open cut shows an inside.
  gl.uniform1i(uniforms.paintInside, surface !== renderer.surface && (view.cutPlane || !view.isCut) ? 1 : 0);
  gl.uniform3fv(uniforms.range, fields.flatMap((field) => [field.low, field.high, field.signed ? 1 : 0]));
  // The zero of a signed scale shows in its colors.
  const limits = (/** @type {Field} */ field) => (field.signed ? [] : field.limits);
  gl.uniform2fv(uniforms.limits, fields.flatMap((field) => [limits(field)[0] ?? NO_LIMIT, limits(field)[1] ?? NO_LIMIT]));
  gl.uniform3fv(uniforms.kindColors, kinds.flatMap((kind) => scale(kind.color, 1 / 255)));
  gl.uniform4fv(uniforms.kindHatched, kinds.map((kind) => (kind.hatched ? 1 : 0)));
  gl.uniform3fv(uniforms.problemColors, problems.flatMap((problem) => scale(problem.color, 1 / 255)));
  gl.uniform3fv(uniforms.sound, scale(sound, 1 / 255));
  gl.uniform3fv(uniforms.nothing, scale(nothing, 1 / 255));
  gl.enable(gl.POLYGON_OFFSET_FILL);
  gl.polygonOffset(1, 1);
  drawIndices(gl, surface, gl.TRIANGLES, surface.facets);
  gl.disable(gl.POLYGON_OFFSET_FILL);
}

/**
 * Closes what a plane cut open. Along the ray of a pixel as many facets face away as towards the eye, unless the plane
 * took one that faces the eye: there the ray meets the plane inside of the solid.
 * @param {Renderer} renderer
 * @param {View} view
 * @param {Loaded} surface
 * @param {{ plane: number[], side: number }} cut The corners of the plane, and the half that is closed, 0 for both together.
 */
function closeCut(renderer, view, surface, { plane, side }) {
  const { gl } = renderer;
  gl.clear(gl.STENCIL_BUFFER_BIT);
  gl.colorMask(false, false, false, false);
  gl.depthMask(false);
  gl.disable(gl.DEPTH_TEST);
  gl.enable(gl.STENCIL_TEST);
  gl.stencilFunc(gl.ALWAYS, 0, 255);
  gl.stencilOpSeparate(gl.FRONT, gl.KEEP, gl.KEEP, gl.DECR_WRAP);
  gl.stencilOpSeparate(gl.BACK, gl.KEEP, gl.KEEP, gl.INCR_WRAP);
  gl.uniform1f(useProgram(renderer, "edge", view).onlySide, side);
  drawIndices(gl, surface, gl.TRIANGLES, surface.facets);
  gl.colorMask(true, true, true, true);
  gl.depthMask(true);
  gl.enable(gl.DEPTH_TEST);
  gl.stencilFunc(gl.NOTEQUAL, 0, 255);
  gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
  const uniforms = useProgram(renderer, "plane", view);
  gl.uniform3fv(uniforms.plane, plane);
  gl.uniform1f(uniforms.onlySide, side);
  gl.uniform1f(uniforms.pixelRatio, view.pixelRatio);
  gl.bindVertexArray(renderer.noArray);
  gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
  gl.disable(gl.STENCIL_TEST);
}

/**
 * @param {Renderer} renderer
 * @param {View} view
 */
function drawLines(renderer, view) {
  const { gl } = renderer;
  const uniforms = useProgram(renderer, "line", view);
  gl.uniform2f(uniforms.pixels, view.width / 2, view.height / 2);
  for (const { kind, strip } of renderer.lines) {
    if (view.unshown.has(kind) || !strip.count) continue;
    gl.bindVertexArray(strip.array);
    for (const { width, color, towardsEye } of STROKES[kind]) {
      gl.uniform1f(uniforms.wide, width * view.pixelRatio);
      gl.uniform1f(uniforms.towardsEye, towardsEye);
      gl.uniform4fv(uniforms.ink, color);
      gl.drawElements(gl.TRIANGLES, strip.count, gl.UNSIGNED_INT, 0);
    }
  }
}

/**
 * @param {Renderer} renderer
 * @param {View} view
 */
function drawMarks(renderer, view) {
  const { gl } = renderer;
  const uniforms = useProgram(renderer, "mark", view);
  gl.bindVertexArray(renderer.markArray);
  gl.bindTexture(gl.TEXTURE_2D, renderer.sheet);
  gl.uniform1i(uniforms.sheet, 0);
  gl.uniform1f(uniforms.wide, MARK_PIXELS * view.pixelRatio);
  gl.uniform1f(uniforms.chosen, view.chosenCause ?? -1);
  gl.uniform1f(uniforms.slack, view.depthRange * MARK_SLACK);
  const runs = shownRuns(renderer.marks, view.unshown);
  // Faint where the part stands before them.
  for (const [rule, alpha] of [[gl.GREATER, 0.3], [gl.LEQUAL, 1]]) {
    gl.depthFunc(rule);
    gl.depthMask(false);
    gl.uniform1f(uniforms.alpha, alpha);
    for (const { first, count } of runs) gl.drawArrays(gl.POINTS, first, count);
  }
  gl.depthMask(true);
  gl.depthFunc(gl.LEQUAL);
}

/**
 * The marks that are shown, neighbors in the list together.
 * @param {Mark[]} marks
 * @param {Set<string>} unshown
 */
function shownRuns(marks, unshown) {
  /** @type {{ first: number, count: number }[]} */
  const runs = [];
  marks.forEach((mark, i) => {
    if (unshown.has(mark.show)) return;
    const last = runs[runs.length - 1];
    if (last && last.first + last.count === i) last.count++;
    else runs.push({ first: i, count: 1 });
  });
  return runs;
}

/**
 * What lies under a pixel, counted from the left top: null where nothing does.
 * @param {Renderer} renderer
 * @param {View} view
 * @param {number} x
 * @param {number} y
 * @returns {Found | null}
 */
function readPixel(renderer, view, x, y) {
  const { gl } = renderer;
  gl.bindFramebuffer(gl.FRAMEBUFFER, renderer.frame);
  gl.viewport(0, 0, 1, 1);
  gl.clearBufferuiv(gl.COLOR, 0, [0, 0, 0, 0]);
  gl.clearBufferuiv(gl.COLOR, 1, [0, 0, 0, 0]);
  gl.clearBufferuiv(gl.COLOR, 2, [0, 0, 0, 0]);
  gl.clearBufferfi(gl.DEPTH_STENCIL, 0, 1, 0);
  gl.enable(gl.DEPTH_TEST);
  gl.depthFunc(gl.LEQUAL);
  gl.disable(gl.BLEND);
  useProgram(renderer, "read", view, [(2 * x + 1) / view.width - 1, 1 - (2 * y + 1) / view.height, view.width, view.height]);
  drawIndices(gl, renderer.surface, gl.TRIANGLES, renderer.surface.facets);
  gl.bindVertexArray(null);
  const what = new Uint32Array(4), bits = new Uint32Array(4), place = new Uint32Array(4);
  gl.readBuffer(gl.COLOR_ATTACHMENT0);
  gl.readPixels(0, 0, 1, 1, gl.RGBA_INTEGER, gl.UNSIGNED_INT, what);
  gl.readBuffer(gl.COLOR_ATTACHMENT1);
  gl.readPixels(0, 0, 1, 1, gl.RGBA_INTEGER, gl.UNSIGNED_INT, bits);
  gl.readBuffer(gl.COLOR_ATTACHMENT2);
  gl.readPixels(0, 0, 1, 1, gl.RGBA_INTEGER, gl.UNSIGNED_INT, place);
  gl.bindFramebuffer(gl.FRAMEBUFFER, null);
  const [face, kind, front] = what;
  if (!face) return null;
  const numbers = new Float32Array(bits.buffer);
  const values = Array.from(bits, (each, i) => (each === NO_VALUE_BITS ? null : numbers[i]));
  const at = new Float32Array(place.buffer);
  return { face: face - 1, kind: kind ? kind - 1 : null, front: front === 1, values, at: [at[0], at[1], at[2]] };
}

/**
 * Milliseconds that drawing all of it takes, once everything is warm.
 * @param {Renderer} renderer
 * @param {View} view
 */
function measureDrawing(renderer, view) {
  const { gl } = renderer;
  const drawAndWait = () => {
    drawScene(renderer, { ...view, isMoving: false });
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  };
  drawAndWait();
  const began = performance.now();
  drawAndWait();
  return performance.now() - began;
}
