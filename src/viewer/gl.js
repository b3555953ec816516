// Unpacks the surface of the part and draws it. Vectors are lists of three numbers, part
// coordinates, millimeters.

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const add = (a, b, share = 1) => [0, 1, 2].map((i) => a[i] + b[i] * share);
const cross = (a, b) => [0, 1, 2].map((i) => a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3]);
const unit = (a) => a.map((x) => x / (Math.hypot(...a) || 1));

async function unpack(letters, scene) {
  const text = atob(letters.trim());
  const packed = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) packed[i] = text.charCodeAt(i);
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  const { corners, facets, edges } = scene;
  let at = 0;
  const take = (count) => bytes.subarray(at, (at += count));
  const words = (into, stride, offset) => {
    const low = take(corners), high = take(corners);
    for (let i = 0, last = 0; i < corners; i++) {
      last = (last + low[i] + high[i] * 256) & 0xffff;
      into[i * stride + offset] = last;
    }
  };
  const longs = (count) => {
    const parts = [0, 1, 2, 3].map(() => take(count));
    return (i) => (parts[0][i] | (parts[1][i] << 8) | (parts[2][i] << 16) | (parts[3][i] << 24)) >>> 0;
  };
  const indices = (count) => {
    const list = new Uint32Array(count), below = longs(count);
    for (let i = 0, next = 0; i < count; i++) {
      const index = (next - below(i)) >>> 0;
      list[i] = index;
      if (index >= next) next = index + 1;
    }
    return list;
  };
  const places = new Uint16Array(corners * 4);
  for (let axis = 0; axis < 3; axis++) words(places, 4, axis);
  const normals = new Int8Array(corners * 4);
  for (let axis = 0; axis < 2; axis++) {
    const list = take(corners);
    for (let i = 0; i < corners; i++) normals[i * 4 + axis] = (list[i] << 24) >> 24;
  }
  const values = new Uint16Array(corners * 4);
  for (let field = 0; field < 4; field++) words(values, 4, field);
  const kinds = take(corners), halves = take(corners);
  for (let i = 0; i < corners; i++) {
    normals[i * 4 + 2] = kinds[i] > 3 ? -1 : kinds[i];
    normals[i * 4 + 3] = halves[i] ? 1 : -1;
  }
  const faces = new Uint32Array(corners), step = longs(corners);
  for (let i = 0, last = 0; i < corners; i++) faces[i] = last = (last + step(i)) >>> 0;
  return { places, normals, values, faces, facets: indices(facets * 3), edges: indices(edges * 2) };
}

const SHARED = `#version 300 es
precision highp float;
uniform vec3 low, step3, right, up, back, target, pull;
uniform vec2 zoom;
uniform float reach, apart;
uniform vec4 cut;
uniform vec4 window;
vec4 seen(vec3 at, float side) {
  vec3 from = at + pull * (side * apart) - target;
  vec2 flat2 = vec2(dot(from, right), dot(from, up)) / zoom;
  return vec4((flat2 - window.xy) * window.zw, -dot(from, back) / reach, 1.0);
}
`;

const SURFACE = SHARED + `
layout(location = 0) in vec3 place;
layout(location = 1) in vec4 way;
layout(location = 2) in vec4 codes;
layout(location = 3) in uint face;
uniform vec4 base, size;
out vec3 normal; out vec4 value; out vec4 known; out vec4 kind; out float beyond;
flat out uint faceOf;
void main() {
  vec3 at = low + place * step3;
  beyond = dot(at, cut.xyz) - cut.w;
  vec2 fold = way.xy / 127.0;
  normal = vec3(fold, 1.0 - abs(fold.x) - abs(fold.y));
  if (normal.z < 0.0) normal.xy = (1.0 - abs(normal.yx)) * vec2(fold.x < 0.0 ? -1.0 : 1.0, fold.y < 0.0 ? -1.0 : 1.0);
  known = vec4(lessThan(codes, vec4(65534.5)));
  value = known * (base + codes * size);
  kind = vec4(equal(vec4(way.z), vec4(0.0, 1.0, 2.0, 3.0)));
  faceOf = face;
  gl_Position = seen(at, way.w);
}`;

const TAKEN = `
precision highp float;
in vec3 normal; in vec4 value; in vec4 known; in vec4 kind; in float beyond;
flat in uint faceOf;
uniform float until;
bool gone() {
  if (beyond > 0.0) return true;
  return until >= 0.0 && (known.w < 0.5 || value.w / known.w > until);
}
`;

const PAINT = "#version 300 es" + TAKEN + `
uniform vec3 back;
uniform int field;
uniform bool folded;
uniform vec4 range[4];
uniform vec4 bounds[4];
uniform vec3 kinds[4];
uniform vec3 nothing;
uniform sampler2D colors;
out vec4 paint;
float stripes(float wide) {
  float along = gl_FragCoord.x + gl_FragCoord.y;
  return step(0.5, fract(along / wide));
}
void main() {
  if (gone()) discard;
  if (!gl_FrontFacing && !folded) {
    paint = vec4(mix(vec3(0.62), vec3(0.70), stripes(10.0)), 1.0);
    return;
  }
  vec3 color;
  if (field > 3) {
    float most = max(max(kind.x, kind.y), max(kind.z, kind.w));
    int which = kind.x == most ? 0 : kind.y == most ? 1 : kind.z == most ? 2 : 3;
    color = most > 0.0 ? kinds[which] : nothing;
    if (most > 0.0 && which == 3) color *= mix(1.0, 0.55, stripes(9.0));
  } else if (known[field] < 0.5) {
    color = nothing * mix(1.0, 0.86, stripes(14.0));
  } else {
    float is = value[field] / known[field];
    vec4 ends = range[field];
    float share = clamp((is - ends.x) / (ends.y - ends.x), 0.0, 1.0);
    color = texelFetch(colors, ivec2(int(share * 80.0 + 0.5), field), 0).rgb;
    if (ends.z > 0.5 && is < -0.005) color *= mix(1.0, 0.72, stripes(9.0));
    float wide = fwidth(is) * 1.2;
    vec4 limit = bounds[field];
    float near = min(abs(is - limit.x), abs(is - limit.y));
    if (wide > 0.0 && wide < 0.03 * (ends.y - ends.x) && near < wide) color = mix(color, vec3(0.0), 0.75);
  }
  float light = dot(normalize(normal), back);
  paint = vec4(color * (0.78 + 0.22 * clamp(light, 0.0, 1.0)), 1.0);
}`;

const READ = "#version 300 es" + TAKEN + `
layout(location = 0) out uvec4 what;
layout(location = 1) out uvec4 values;
void main() {
  if (gone()) discard;
  float most = max(max(kind.x, kind.y), max(kind.z, kind.w));
  uint which = most <= 0.0 ? 9u : kind.x == most ? 0u : kind.y == most ? 1u : kind.z == most ? 2u : 3u;
  what = uvec4(faceOf + 1u, which, gl_FrontFacing ? 1u : 0u, 0u);
  uvec4 bits = floatBitsToUint(value / max(known, vec4(1e-6)));
  values = uvec4(known.x < 0.5 ? 0xffffffffu : bits.x, known.y < 0.5 ? 0xffffffffu : bits.y,
    known.z < 0.5 ? 0xffffffffu : bits.z, known.w < 0.5 ? 0xffffffffu : bits.w);
}`;

const INK = "#version 300 es" + TAKEN + `
uniform vec4 ink;
out vec4 paint;
void main() { if (gone()) discard; paint = ink; }`;

// The plane that cuts, as large as it need be.
const PLANE = SHARED + `
uniform vec3 plane[4];
void main() { gl_Position = seen(plane[gl_VertexID], 0.0); }`;

// Hatched at 45 degrees, as drawings show what is cut (ISO 128-3).
const PLANE_INK = `#version 300 es
precision highp float;
uniform float fine;
out vec4 paint;
void main() {
  float along = fract((gl_FragCoord.x - gl_FragCoord.y) / (9.0 * fine));
  paint = vec4(mix(vec3(0.84), vec3(0.38), step(0.84, along)), 1.0);
}`;

const LINE = SHARED + `
layout(location = 0) in vec3 from;
layout(location = 1) in vec3 to;
layout(location = 2) in vec3 how;
uniform vec2 pixels;
uniform float wide, lift;
out float beyond;
void main() {
  vec3 at = mix(from, to, how.y);
  beyond = dot(at, cut.xyz) - cut.w;
  vec4 a = seen(from, how.z), b = seen(to, how.z);
  vec2 run = (b.xy - a.xy) * pixels;
  vec2 along = run / max(length(run), 1e-6);
  gl_Position = mix(a, b, how.y);
  gl_Position.xy += (vec2(-along.y, along.x) * how.x + along * (how.y * 2.0 - 1.0) * 0.5) * wide / pixels;
  gl_Position.z -= lift;
}`;

const LINE_INK = `#version 300 es
precision highp float;
in float beyond;
uniform vec4 ink;
out vec4 paint;
void main() { if (beyond > 0.001) discard; paint = ink; }`;

const MARK = SHARED + `
layout(location = 0) in vec4 at;
layout(location = 1) in vec2 cell;
uniform float wide;
out vec2 corner; out float beyond;
void main() {
  corner = cell;
  beyond = dot(at.xyz, cut.xyz) - cut.w;
  gl_Position = seen(at.xyz, at.w);
  gl_Position.z -= 0.012;
  gl_PointSize = wide;
}`;

const MARK_INK = `#version 300 es
precision highp float;
in vec2 corner; in float beyond;
uniform sampler2D glyphs;
uniform float alpha;
out vec4 paint;
void main() {
  if (beyond > reachOf) discard;
  paint = texture(glyphs, (corner + gl_PointCoord) / 16.0) * alpha;
  if (paint.a < 0.02) discard;
}`.replace("uniform float alpha;", "uniform float alpha, reachOf;");

function program(gl, vertex, fragment) {
  const made = gl.createProgram();
  for (const [kind, source] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) || "shader");
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) || "shader");
  const places = {};
  const count = gl.getProgramParameter(made, gl.ACTIVE_UNIFORMS);
  for (let i = 0; i < count; i++) {
    const name = gl.getActiveUniform(made, i).name.replace("[0]", "");
    places[name] = gl.getUniformLocation(made, name);
  }
  return { made, places };
}

function buffer(gl, data, location, size, type, integer = false) {
  const made = gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, made);
  gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
  gl.enableVertexAttribArray(location);
  const stride = size * data.BYTES_PER_ELEMENT;
  if (integer) gl.vertexAttribIPointer(location, size, type, stride, 0);
  else gl.vertexAttribPointer(location, Math.min(size, location === 0 && type === gl.UNSIGNED_SHORT ? 3 : size), type, false, stride, 0);
}

function elements(gl, list) {
  const made = gl.createBuffer();
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, made);
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, list, gl.STATIC_DRAW);
  return made;
}

// Each segment of the lines as two triangles that the shader makes as wide as asked for.
function strips(gl, lines) {
  const from = [], to = [], how = [], order = [];
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
  [from, to, how].forEach((list, i) => buffer(gl, new Float32Array(list), i, 3, gl.FLOAT));
  elements(gl, new Uint32Array(order));
  gl.bindVertexArray(null);
  return { array, count: order.length };
}

// A disc with the text of each mark, its tip in the middle of the cell.
function glyphs(gl, marks) {
  const cell = 96, sheet = document.createElement("canvas");
  sheet.width = sheet.height = cell * 16;
  const pen = sheet.getContext("2d");
  pen.textAlign = "center";
  marks.forEach((mark, i) => {
    const x = (i % 16) * cell + cell / 2, y = Math.floor(i / 16) * cell + cell / 2;
    const loud = mark.finding !== null;
    pen.fillStyle = pen.strokeStyle = "#1d2329";
    pen.beginPath();
    pen.moveTo(x, y);
    pen.lineTo(x - 8, y - 16);
    pen.lineTo(x + 8, y - 16);
    pen.fill();
    pen.lineWidth = 4;
    pen.beginPath();
    pen.arc(x, y - 27, 18, 0, 7);
    pen.fillStyle = loud ? "#fff" : "#1d2329";
    pen.fill();
    pen.stroke();
    pen.fillStyle = loud ? "#1d2329" : "#fff";
    pen.font = `bold ${mark.text.length > 2 ? 17 : 22}px sans-serif`;
    pen.fillText(mark.text, x, y - 19);
  });
  const made = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, made);
  gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, true);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, sheet);
  gl.pixelStorei(gl.UNPACK_PREMULTIPLY_ALPHA_WEBGL, false);
  gl.generateMipmap(gl.TEXTURE_2D);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
  return made;
}

function colors(gl, fields) {
  const wide = 81, data = new Uint8Array(wide * 4 * 4);
  fields.forEach((field, row) => field.colors.forEach((color, i) => data.set([...color, 255], (row * wide + i) * 4)));
  const made = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, made);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, wide, 4, 0, gl.RGBA, gl.UNSIGNED_BYTE, data);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
  return made;
}

// Everything on the graphics card, and two things to do with it: draw and read.
function stage(gl, scene, solid) {
  const programs = {
    paint: program(gl, SURFACE, PAINT), read: program(gl, SURFACE, READ), ink: program(gl, SURFACE, INK),
    line: program(gl, LINE, LINE_INK), mark: program(gl, MARK, MARK_INK), plane: program(gl, PLANE, PLANE_INK),
  };
  const loaded = ({ places, normals, values, faces, facets, edges }) => {
    const array = gl.createVertexArray();
    gl.bindVertexArray(array);
    buffer(gl, places, 0, 4, gl.UNSIGNED_SHORT);
    buffer(gl, normals, 1, 4, gl.BYTE);
    buffer(gl, values, 2, 4, gl.UNSIGNED_SHORT);
    buffer(gl, faces, 3, 1, gl.UNSIGNED_INT, true);
    const lists = [facets, edges].map((list) => ({ made: elements(gl, list), count: list.length }));
    gl.bindVertexArray(null);
    return { array, facets: lists[0], edges: lists[1] };
  };
  const whole = loaded(solid);
  // Drawn in its place while the hand moves, where there is one.
  let few = null;
  const shape = (of, mode, list) => {
    gl.bindVertexArray(of.array);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, list.made);
    gl.drawElements(mode, list.count, gl.UNSIGNED_INT, 0);
  };
  const bare = gl.createVertexArray();
  const shown = scene.marks.slice(0, 256);
  const marks = gl.createVertexArray();
  gl.bindVertexArray(marks);
  buffer(gl, new Float32Array(shown.flatMap((mark) => [...mark.at, mark.side])), 0, 4, gl.FLOAT);
  buffer(gl, new Float32Array(shown.flatMap((mark, i) => [i % 16, Math.floor(i / 16)])), 1, 2, gl.FLOAT);
  gl.bindVertexArray(null);
  const kinds = ["parting", "pin"];
  const lines = kinds.map((kind) => strips(gl, scene.lines.filter((line) => line.kind === kind)));
  const textures = { colors: colors(gl, scene.fields), glyphs: glyphs(gl, shown) };
  const frame = gl.createFramebuffer();
  gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
  for (const i of [0, 1]) {
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texStorage2D(gl.TEXTURE_2D, 1, gl.RGBA32UI, 1, 1);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0 + i, gl.TEXTURE_2D, texture, 0);
  }
  const depth = gl.createRenderbuffer();
  gl.bindRenderbuffer(gl.RENDERBUFFER, depth);
  gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT24, 1, 1);
  gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, depth);
  gl.drawBuffers([gl.COLOR_ATTACHMENT0, gl.COLOR_ATTACHMENT1]);
  gl.bindFramebuffer(gl.FRAMEBUFFER, null);

  const use = (name, view, window) => {
    const { made, places } = programs[name];
    gl.useProgram(made);
    gl.uniform3fv(places.low, scene.low);
    gl.uniform3fv(places.step3, scene.step);
    for (const axis of ["right", "up", "back", "target"]) gl.uniform3fv(places[axis] ?? null, view[axis]);
    gl.uniform3fv(places.pull, scene.pull);
    gl.uniform2f(places.zoom, view.half * view.width / view.height, view.half);
    gl.uniform1f(places.reach, view.reach);
    gl.uniform1f(places.apart, view.apart);
    gl.uniform4fv(places.cut, view.cut);
    gl.uniform4fv(places.window, window);
    gl.uniform1f(places.until ?? null, view.until);
    gl.uniform4fv(places.base ?? null, scene.fields.map((field) => field.base));
    gl.uniform4fv(places.size ?? null, scene.fields.map((field) => field.step));
    return places;
  };
  const WHOLE = [0, 0, 1, 1];

  function draw(view) {
    const surface = (view.moving && few) || whole;
    gl.viewport(0, 0, view.width, view.height);
    gl.clearColor(1, 1, 1, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.depthFunc(gl.LEQUAL);
    gl.disable(gl.BLEND);
    let places = use("paint", view, WHOLE);
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, textures.colors);
    gl.uniform1i(places.colors, 0);
    gl.uniform1i(places.field, view.field);
    // Joining corners folds a few facets over; only an open cut shows an inside.
    gl.uniform1i(places.folded, surface !== whole && (view.plane || !view.isCut) ? 1 : 0);
    gl.uniform4fv(places.range, scene.fields.flatMap((field) => [field.low, field.high, field.signed ? 1 : 0, 0]));
    gl.uniform4fv(places.bounds, scene.fields.flatMap((field) => (field.signed ? [1e9, 1e9, 0, 0] : [field.limits[0] ?? 1e9, field.limits[1] ?? 1e9, 0, 0])));
    gl.uniform3fv(places.kinds, scene.kinds.flatMap((kind) => kind[1].map((c) => c / 255)));
    gl.uniform3fv(places.nothing, scene.nothing.map((c) => c / 255));
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
    shape(surface, gl.TRIANGLES, surface.facets);
    gl.disable(gl.POLYGON_OFFSET_FILL);
    if (view.plane) close(view, surface);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    places = use("ink", view, WHOLE);
    gl.uniform4f(places.ink, 0.06, 0.07, 0.08, 0.6);
    shape(surface, gl.LINES, surface.edges);
    drawLines(view);
    drawMarks(view);
    gl.bindVertexArray(null);
  }

  // Closes what a plane cut open. Along the ray of a pixel as many facets face away as towards the eye, unless the
  // plane took one that faces the eye: there the ray meets the plane inside of the part.
  function close(view, surface) {
    gl.colorMask(false, false, false, false);
    gl.depthMask(false);
    gl.disable(gl.DEPTH_TEST);
    gl.enable(gl.STENCIL_TEST);
    gl.stencilFunc(gl.ALWAYS, 0, 255);
    gl.stencilOpSeparate(gl.FRONT, gl.KEEP, gl.KEEP, gl.DECR_WRAP);
    gl.stencilOpSeparate(gl.BACK, gl.KEEP, gl.KEEP, gl.INCR_WRAP);
    use("ink", view, WHOLE);
    shape(surface, gl.TRIANGLES, surface.facets);
    gl.colorMask(true, true, true, true);
    gl.depthMask(true);
    gl.enable(gl.DEPTH_TEST);
    gl.stencilFunc(gl.NOTEQUAL, 0, 255);
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
    const places = use("plane", view, WHOLE);
    gl.uniform3fv(places.plane, view.plane);
    gl.uniform1f(places.fine, view.fine);
    gl.bindVertexArray(bare);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
    gl.disable(gl.STENCIL_TEST);
  }

  function drawLines(view) {
    const places = use("line", view, WHOLE);
    gl.uniform2f(places.pixels, view.width / 2, view.height / 2);
    kinds.forEach((kind, i) => {
      if (!view.show[kind] || !lines[i].count) return;
      gl.bindVertexArray(lines[i].array);
      const ink = kind === "pin" ? [0.64, 0.24, 0, 1] : [0.1, 0.11, 0.13, 1];
      for (const [wide, paint, lift] of [[kind === "pin" ? 0 : 2.6, [1, 1, 1, 1], 0.003], [kind === "pin" ? 0.9 : 1.3, ink, 0.005]]) {
        if (!wide) continue;
        gl.uniform1f(places.wide, wide * view.fine);
        gl.uniform1f(places.lift, lift);
        gl.uniform4fv(places.ink, paint);
        gl.drawElements(gl.TRIANGLES, lines[i].count, gl.UNSIGNED_INT, 0);
      }
    });
  }

  function drawMarks(view) {
    const places = use("mark", view, WHOLE);
    gl.bindVertexArray(marks);
    gl.bindTexture(gl.TEXTURE_2D, textures.glyphs);
    gl.uniform1i(places.glyphs, 0);
    gl.uniform1f(places.wide, 48 * view.fine);
    gl.uniform1f(places.reachOf, view.reach * 0.01);
    // Neighbors in the list at once.
    const runs = [];
    shown.forEach((mark, i) => {
      const last = runs[runs.length - 1];
      if (!view.show[mark.show]) return;
      if (last && last[0] + last[1] === i) last[1]++;
      else runs.push([i, 1]);
    });
    for (const [rule, alpha] of [[gl.GREATER, 0.3], [gl.LEQUAL, 1]]) {
      gl.depthFunc(rule);
      gl.depthMask(false);
      gl.uniform1f(places.alpha, alpha);
      for (const [first, count] of runs) gl.drawArrays(gl.POINTS, first, count);
    }
    gl.depthMask(true);
    gl.depthFunc(gl.LEQUAL);
  }

  // What lies under a pixel, counted from the left top: null where nothing does.
  function read(view, x, y) {
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    gl.viewport(0, 0, 1, 1);
    gl.clearBufferuiv(gl.COLOR, 0, [0, 0, 0, 0]);
    gl.clearBufferuiv(gl.COLOR, 1, [0, 0, 0, 0]);
    gl.clearBufferfi(gl.DEPTH_STENCIL, 0, 1, 0);
    gl.enable(gl.DEPTH_TEST);
    gl.depthFunc(gl.LEQUAL);
    gl.disable(gl.BLEND);
    const window = [(2 * x + 1) / view.width - 1, 1 - (2 * y + 1) / view.height, view.width, view.height];
    use("read", view, window);
    shape(whole, gl.TRIANGLES, whole.facets);
    gl.bindVertexArray(null);
    const what = new Uint32Array(4), bits = new Uint32Array(4);
    gl.readBuffer(gl.COLOR_ATTACHMENT0);
    gl.readPixels(0, 0, 1, 1, gl.RGBA_INTEGER, gl.UNSIGNED_INT, what);
    gl.readBuffer(gl.COLOR_ATTACHMENT1);
    gl.readPixels(0, 0, 1, 1, gl.RGBA_INTEGER, gl.UNSIGNED_INT, bits);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    if (!what[0]) return null;
    const numbers = new Float32Array(bits.buffer);
    const values = [0, 1, 2, 3].map((i) => (bits[i] === 0xffffffff ? null : numbers[i]));
    return { face: what[0] - 1, kind: what[1], front: what[2] === 1, values };
  }
  // Milliseconds that drawing all of it takes, once everything is warm.
  function pace(view) {
    const pixel = new Uint8Array(4);
    const drawn = () => { draw({ ...view, moving: false }); gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel); };
    drawn();
    const began = performance.now();
    drawn();
    return performance.now() - began;
  }
  return { draw, read, pace, stand: (coarse) => { few = loaded(coarse); } };
}
