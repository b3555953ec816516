// @ts-check
// Programs, buffers and textures on the graphics card.

// Marks beyond the sheet of texts are not drawn.
const MOST_MARKS = SHEET_CELLS * SHEET_CELLS;
const MARK_INK = "#1d2329", MARK_PAPER = "#fff";

/** @typedef {WebGL2RenderingContext} Gl */
/** @typedef {Record<string, WebGLUniformLocation>} Uniforms What a program has no use for is missing, which WebGL ignores. */
/** @typedef {{ program: WebGLProgram, uniforms: Uniforms }} Program */
/** @typedef {{ array: WebGLVertexArrayObject, count: number }} Strip Triangles of lines. */

/**
 * @param {Gl} gl
 * @param {string} vertex
 * @param {string} fragment
 * @returns {Program}
 */
function compileProgram(gl, vertex, fragment) {
  const program = gl.createProgram();
  for (const [kind, source] of /** @type {[number, string][]} */ ([[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]])) {
    const shader = gl.createShader(kind);
    if (!shader) throw new Error("shader");
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) || "shader");
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program) || "shader");
  /** @type {Uniforms} */
  const uniforms = {};
  const count = gl.getProgramParameter(program, gl.ACTIVE_UNIFORMS);
  for (let i = 0; i < count; i++) {
    const name = gl.getActiveUniform(program, i)?.name.replace("[0]", "") ?? "";
    const location = gl.getUniformLocation(program, name);
    if (location) uniforms[name] = location;
  }
  return { program, uniforms };
}

/**
 * Fills the attribute at `location` with `size` numbers for each corner.
 * @param {Gl} gl
 * @param {number} location
 * @param {Float32Array | Uint16Array | Int8Array | Uint32Array} data
 * @param {number} size
 */
function fillAttribute(gl, location, data, size) {
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
  gl.enableVertexAttribArray(location);
  if (data instanceof Uint32Array) {
    gl.vertexAttribIPointer(location, size, gl.UNSIGNED_INT, 0, 0);
    return;
  }
  const type = data instanceof Float32Array ? gl.FLOAT : data instanceof Uint16Array ? gl.UNSIGNED_SHORT : gl.BYTE;
  gl.vertexAttribPointer(location, size, type, false, 0, 0);
}

/**
 * @param {Gl} gl
 * @param {Uint32Array} list
 */
function createIndexBuffer(gl, list) {
  const buffer = gl.createBuffer();
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, buffer);
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, list, gl.STATIC_DRAW);
  return buffer;
}

/**
 * Each segment of the lines as two triangles, which the shader makes as wide as asked for.
 * @param {Gl} gl
 * @param {Line[]} lines
 * @returns {Strip}
 */
function createStrip(gl, lines) {
  /** @type {number[]} */
  const from = [];
  /** @type {number[]} */
  const to = [];
  /** @type {number[]} */
  const how = [];
  /** @type {number[]} */
  const order = [];
  for (const line of lines)
    for (let i = 0; i + 1 < line.points.length; i++) {
      const first = from.length / 3;
      for (const [aside, end] of [[-1, 0], [1, 0], [-1, 1], [1, 1]]) {
        from.push(...line.points[i]);
        to.push(...line.points[i + 1]);
        how.push(aside, end, line.side);
      }
      order.push(first, first + 1, first + 2, first + 2, first + 1, first + 3);
    }
  const array = gl.createVertexArray();
  gl.bindVertexArray(array);
  [from, to, how].forEach((list, location) => fillAttribute(gl, location, new Float32Array(list), 3));
  createIndexBuffer(gl, new Uint32Array(order));
  gl.bindVertexArray(null);
  return { array, count: order.length };
}

/**
 * A disc with the text of each mark, its tip in the middle of the cell.
 * @param {Gl} gl
 * @param {Mark[]} marks
 */
function createMarkSheet(gl, marks) {
  const cell = 96, sheet = document.createElement("canvas");
  sheet.width = sheet.height = cell * SHEET_CELLS;
  const pen = sheet.getContext("2d");
  if (!pen) throw new Error("canvas");
  pen.textAlign = "center";
  marks.forEach((mark, i) => {
    const [column, row] = sheetCell(i);
    drawMark(pen, mark, column * cell + cell / 2, row * cell + cell / 2);
  });
  const texture = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, texture);
  gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, true);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, sheet);
  gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
  gl.generateMipmap(gl.TEXTURE_2D);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
  return texture;
}

/**
 * Column and row of a mark in the sheet.
 * @param {number} mark
 */
const sheetCell = (mark) => [mark % SHEET_CELLS, Math.floor(mark / SHEET_CELLS)];

/**
 * @param {CanvasRenderingContext2D} pen
 * @param {Mark} mark
 * @param {number} x Where its tip is.
 * @param {number} y
 */
function drawMark(pen, mark, x, y) {
  const isCause = mark.cause !== null;
  pen.fillStyle = pen.strokeStyle = MARK_INK;
  pen.beginPath();
  pen.moveTo(x, y);
  pen.lineTo(x - 8, y - 16);
  pen.lineTo(x + 8, y - 16);
  pen.fill();
  pen.lineWidth = 4;
  pen.beginPath();
  pen.arc(x, y - 27, 18, 0, 7);
  pen.fillStyle = isCause ? MARK_PAPER : MARK_INK;
  pen.fill();
  pen.stroke();
  pen.fillStyle = isCause ? MARK_INK : MARK_PAPER;
  pen.font = `bold ${mark.text.length > 2 ? 17 : 22}px sans-serif`;
  pen.fillText(mark.text, x, y - 19);
}

/**
 * The colors of all scales, a row for each field.
 * @param {Gl} gl
 * @param {Field[]} fields
 */
function createColorTable(gl, fields) {
  const wide = fields[0].colors.length, high = fields.length;
  const data = new Uint8Array(fields.flatMap((field) => field.colors.flatMap((color) => [...color, 255])));
  const texture = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, texture);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, wide, high, 0, gl.RGBA, gl.UNSIGNED_BYTE, data);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
  return texture;
}

/**
 * A picture of one pixel with three lists of four whole numbers.
 * @param {Gl} gl
 */
function createNumberFrame(gl) {
  const frame = gl.createFramebuffer();
  gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
  for (const i of [0, 1, 2]) {
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.RGBA32UI, 1, 1);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0 + i, gl.TEXTURE_2D, texture, 0);
  }
  const depth = gl.createRenderbuffer();
  gl.bindRenderbuffer(gl.RENDERBUFFER, depth);
  gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT24, 1, 1);
  gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, depth);
  gl.drawBuffers([gl.COLOR_ATTACHMENT0, gl.COLOR_ATTACHMENT1, gl.COLOR_ATTACHMENT2]);
  gl.bindFramebuffer(gl.FRAMEBUFFER, null);
  return frame;
}
