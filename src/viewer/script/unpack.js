// @ts-check
// Unpacks the surface, which pack.rs packs: 16-bit numbers as differences, low bytes apart from high ones.

/**
 * The surface: four numbers a corner in `places` (x, y, z, problem or 0), `normals` (two folded coordinates, kind or -1,
 * half as 1 or -1) and `values` (a code for each field).
 * @typedef {object} Solid
 * @property {Uint16Array} places
 * @property {Int8Array} normals
 * @property {Uint16Array} values
 * @property {Uint32Array} faces Face of each corner.
 * @property {Uint32Array} facets Three corners each.
 * @property {Uint32Array} edges Two corners each.
 */

/** Reads packed lists one after the other. */
class PackedReader {
  /** @param {Uint8Array} bytes */
  constructor(bytes) {
    this.bytes = bytes;
    this.at = 0;
  }

  /** @param {number} count */
  take(count) {
    this.at += count;
    return this.bytes.subarray(this.at - count, this.at);
  }

  /**
   * Puts `count` 16-bit numbers at `offset` of every four numbers of `into`.
   * @param {number} count
   * @param {Uint16Array} into
   * @param {number} offset
   */
  words(count, into, offset) {
    const low = this.take(count), high = this.take(count);
    for (let i = 0, last = 0; i < count; i++) {
      last = (last + low[i] + high[i] * 256) & 0xffff;
      into[i * 4 + offset] = last;
    }
  }

  /**
   * `count` 32-bit numbers.
   * @param {number} count
   */
  longs(count) {
    const [a, b, c, d] = [this.take(count), this.take(count), this.take(count), this.take(count)];
    const list = new Uint32Array(count);
    for (let i = 0; i < count; i++) list[i] = a[i] | (b[i] << 8) | (c[i] << 16) | (d[i] << 24);
    return list;
  }

  /**
   * `count` indices, each kept as its distance below the next new one.
   * @param {number} count
   */
  indices(count) {
    const list = this.longs(count);
    for (let i = 0, next = 0; i < count; i++) {
      list[i] = next - list[i];
      if (list[i] >= next) next = list[i] + 1;
    }
    return list;
  }
}

/** @param {string} letters Zlib data in base64. */
async function inflate(letters) {
  const text = atob(letters.trim());
  const packed = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) packed[i] = text.charCodeAt(i);
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/**
 * @param {string} letters
 * @param {Scene} scene
 * @returns {Promise<Solid>}
 */
async function unpack(letters, scene) {
  const reader = new PackedReader(await inflate(letters));
  const { corners, facets, edges } = scene;
  const places = new Uint16Array(corners * 4);
  for (let axis = 0; axis < 3; axis++) reader.words(corners, places, axis);
  const normals = new Int8Array(corners * 4);
  for (let axis = 0; axis < 2; axis++) reader.take(corners).forEach((code, i) => { normals[i * 4 + axis] = code; });
  const values = new Uint16Array(corners * 4);
  scene.fields.forEach((_, field) => reader.words(corners, values, field));
  reader.take(corners).forEach((kind, i) => { normals[i * 4 + 2] = kind < scene.kinds.length ? kind : -1; });
  reader.take(corners).forEach((half, i) => { normals[i * 4 + 3] = half ? 1 : -1; });
  reader.take(corners).forEach((problem, i) => { places[i * 4 + 3] = problem; });
  const faces = reader.longs(corners);
  for (let i = 1; i < corners; i++) faces[i] += faces[i - 1];
  return { places, normals, values, faces, facets: reader.indices(facets * 3), edges: reader.indices(edges * 2) };
}
