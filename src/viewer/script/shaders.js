// @ts-check
// The programs of the graphics card, OpenGL ES Shading Language 3.00, put together from pieces.

// The sheet with the texts of the marks has so many cells each way.
const SHEET_CELLS = 16;

const VERSION = `#version 300 es
precision highp float;
precision highp int;
`;

// From places of the part to the screen: parallel projection.
const PROJECTION = VERSION + `
uniform vec3 right, up, toEye, target, pull;
uniform vec2 zoom;
uniform float depthRange, separation;
uniform vec4 cut;
uniform vec4 pixelWindow;
vec4 projected(vec3 at, float side) {
  vec3 from = at + pull * (side * separation) - target;
  vec2 screen = vec2(dot(from, right), dot(from, up)) / zoom;
  return vec4((screen - pixelWindow.xy) * pixelWindow.zw, -dot(from, toEye) / depthRange, 1.0);
}
float beyondCut(vec3 at) { return dot(at, cut.xyz) - cut.w; }
`;

// Unfolds normals from the octahedron (Meyer et al. 2010) and decodes values; a corner without a value counts as zero,
// and `known` says so, so that values between corners come from those that have one.
const SURFACE_VERTEX = PROJECTION + `
layout(location = 0) in vec4 place;
layout(location = 1) in vec4 folded;
layout(location = 2) in vec4 codes;
layout(location = 3) in uint face;
uniform vec3 low, stepSize;
uniform vec4 base, size;
uniform float noValue, unitNormal;
out vec3 normal, part; out vec4 value; out vec4 known; out vec4 kind; out vec4 problem; out float beyond, side;
flat out uint faceIndex;
void main() {
  vec3 at = low + place.xyz * stepSize;
  part = at;
  beyond = beyondCut(at);
  side = folded.w;
  vec2 fold = folded.xy / unitNormal;
  normal = vec3(fold, 1.0 - abs(fold.x) - abs(fold.y));
  if (normal.z < 0.0) normal.xy = (1.0 - abs(normal.yx)) * vec2(fold.x < 0.0 ? -1.0 : 1.0, fold.y < 0.0 ? -1.0 : 1.0);
  known = vec4(notEqual(codes, vec4(noValue)));
  value = known * (base + codes * size);
  kind = vec4(equal(vec4(folded.z), vec4(0.0, 1.0, 2.0, 3.0)));
  problem = vec4(equal(vec4(place.w), vec4(1.0, 2.0, 3.0, 4.0)));
  faceIndex = face;
  gl_Position = projected(at, folded.w);
}`;

// What every look at the surface shares: which of it is left out, and how it leaves the mold (-1 where unknown).
const SURFACE_FRAGMENT = VERSION + `
in vec3 normal, part; in vec4 value; in vec4 known; in vec4 kind; in vec4 problem; in float beyond, side;
flat in uint faceIndex;
// Of one half only, 1 or -1; 0 is both.
uniform float onlySide;
uniform float shownUntil;
uniform int timeField;
bool isLeftOut() {
  if (beyond > 0.0 || side * onlySide < 0.0) return true;
  return shownUntil >= 0.0 && (known[timeField] < 0.5 || value[timeField] / known[timeField] > shownUntil);
}
int kindHere() {
  float most = max(max(kind.x, kind.y), max(kind.z, kind.w));
  if (most <= 0.0) return -1;
  return kind.x == most ? 0 : kind.y == most ? 1 : kind.z == most ? 2 : 3;
}
`;

// Each entry of `range` is the low end, the high end, and 1 where values below zero are hatched.
const PAINT_FRAGMENT = SURFACE_FRAGMENT + `
uniform vec3 toEye;
uniform int field;
uniform bool paintInside;
uniform vec3 range[4];
uniform vec2 limits[4];
uniform vec3 kindColors[4];
uniform vec4 kindHatched;
uniform vec3 problemColors[4];
uniform vec3 nothing, sound;
uniform sampler2D colors;
out vec4 paint;
float stripes(float wide) {
  float along = gl_FragCoord.x + gl_FragCoord.y;
  return step(0.5, fract(along / wide));
}
vec3 kindColor() {
  int which = kindHere();
  if (which < 0) return nothing;
  return kindHatched[which] > 0.5 ? kindColors[which] * mix(1.0, 0.55, stripes(9.0)) : kindColors[which];
}
// Half way to a corner where nothing is wrong, nothing is.
vec3 problemColor() {
  vec3 color = sound;
  for (int i = 0; i < 4; i++) if (problem[i] >= 0.5) color = problemColors[i] * (i == 0 ? mix(1.0, 0.7, stripes(9.0)) : 1.0);
  return color;
}
vec3 fieldColor() {
  if (known[field] < 0.5) return nothing * mix(1.0, 0.86, stripes(14.0));
  float here = value[field] / known[field];
  vec3 ends = range[field];
  float share = clamp((here - ends.x) / (ends.y - ends.x), 0.0, 1.0);
  float last = float(textureSize(colors, 0).x - 1);
  vec3 color = texelFetch(colors, ivec2(int(share * last + 0.5), field), 0).rgb;
  if (ends.z > 0.5 && here < -0.005) color *= mix(1.0, 0.72, stripes(9.0));
  float wide = fwidth(here) * 1.2;
  vec2 limit = limits[field];
  float near = min(abs(here - limit.x), abs(here - limit.y));
  return wide > 0.0 && wide < 0.03 * (ends.y - ends.x) && near < wide ? mix(color, vec3(0.0), 0.75) : color;
}
void main() {
  if (isLeftOut()) discard;
  if (!gl_FrontFacing && !paintInside) {
    paint = vec4(mix(vec3(0.62), vec3(0.70), stripes(10.0)), 1.0);
    return;
  }
  vec3 color = field == -2 ? problemColor() : field < 0 ? kindColor() : fieldColor();
  float light = dot(normalize(normal), toEye);
  paint = vec4(color * (0.78 + 0.22 * clamp(light, 0.0, 1.0)), 1.0);
}`;

// Whole numbers instead of colors: face and kind, both from 1, and the bits of each value, all ones where there is none.
const READ_FRAGMENT = SURFACE_FRAGMENT + `
layout(location = 0) out uvec4 what;
layout(location = 1) out uvec4 values;
layout(location = 2) out uvec4 place;
void main() {
  if (isLeftOut()) discard;
  what = uvec4(faceIndex + 1u, uint(kindHere() + 1), gl_FrontFacing ? 1u : 0u, 0u);
  place = uvec4(floatBitsToUint(part), 0u);
  uvec4 bits = floatBitsToUint(value / max(known, vec4(1e-6)));
  values = uvec4(known.x < 0.5 ? 0xffffffffu : bits.x, known.y < 0.5 ? 0xffffffffu : bits.y,
    known.z < 0.5 ? 0xffffffffu : bits.z, known.w < 0.5 ? 0xffffffffu : bits.w);
}`;

const EDGE_FRAGMENT = SURFACE_FRAGMENT + `
uniform vec4 ink;
out vec4 paint;
void main() { if (isLeftOut()) discard; paint = ink; }`;

// The plane that cuts, as large as it need be.
const PLANE_VERTEX = PROJECTION + `
uniform vec3 plane[4];
uniform float onlySide;
void main() { gl_Position = projected(plane[gl_VertexID], onlySide); }`;

// Hatched at 45 degrees, as drawings show what is cut, the other way for the other half (ISO 128-3).
const PLANE_FRAGMENT = VERSION + `
uniform float pixelRatio, onlySide;
out vec4 paint;
void main() {
  float along = fract((gl_FragCoord.x + (onlySide < 0.0 ? 1.0 : -1.0) * gl_FragCoord.y) / (9.0 * pixelRatio));
  paint = vec4(mix(vec3(0.84), vec3(0.38), step(0.84, along)), 1.0);
}`;

// A segment as wide as asked for. `how` is which side of it (-1, 1), which end (0, 1), and the half it moves with.
const LINE_VERTEX = PROJECTION + `
layout(location = 0) in vec3 from;
layout(location = 1) in vec3 to;
layout(location = 2) in vec3 how;
uniform vec2 pixels;
uniform float wide, towardsEye;
out float beyond;
void main() {
  beyond = beyondCut(mix(from, to, how.y));
  vec4 a = projected(from, how.z), b = projected(to, how.z);
  vec2 run = (b.xy - a.xy) * pixels;
  vec2 along = run / max(length(run), 1e-6);
  gl_Position = mix(a, b, how.y);
  gl_Position.xy += (vec2(-along.y, along.x) * how.x + along * (how.y * 2.0 - 1.0) * 0.5) * wide / pixels;
  gl_Position.z -= towardsEye;
}`;

const LINE_FRAGMENT = VERSION + `
in float beyond;
uniform vec4 ink;
out vec4 paint;
void main() { if (beyond > 0.001) discard; paint = ink; }`;

const MARK_VERTEX = PROJECTION + `
layout(location = 0) in vec4 at;
layout(location = 1) in vec2 cell;
layout(location = 2) in vec2 cause;
uniform float wide, chosen;
out vec2 corner; out float beyond;
// Of a chosen cause all places show, else the worst place of each.
bool isShown() { return cause.x < 0.0 || (chosen < 0.0 ? cause.y > 0.5 : cause.x == chosen); }
void main() {
  corner = cell;
  beyond = beyondCut(at.xyz);
  gl_Position = projected(at.xyz, at.w);
  gl_Position.z -= 0.012;
  gl_PointSize = isShown() ? wide : 0.0;
  if (!isShown()) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
}`;

const MARK_FRAGMENT = VERSION + `
in vec2 corner; in float beyond;
uniform sampler2D sheet;
uniform float alpha, slack;
out vec4 paint;
void main() {
  if (beyond > slack) discard;
  paint = texture(sheet, (corner + gl_PointCoord) / ${SHEET_CELLS}.0) * alpha;
  if (paint.a < 0.02) discard;
}`;
