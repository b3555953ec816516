// @ts-check
// A coarse surface, drawn while the view moves where drawing all of it is slow: corners near each other that face the
// same way become one (vertex clustering, Rossignac and Borrel 1993). Places are joined before faces are told apart,
// so no crack opens; a facet that keeps fewer than three places is gone.

// Cells along the longest side, finest first: the first that leaves few enough facets is taken.
const COARSE_CELLS = [90, 64, 45];
// More than the cells along a side; as a power of two, it packs three of them into one number.
const CELL_BASE = 128;
// Codes of a place: 16 bits.
const PLACE_CODES = 65536;
// Faces are told apart up to this many.
const FACE_BASE = 2 ** 21;
const NO_CELL = 0xffffffff;

/**
 * Every place once.
 * @typedef {object} Places
 * @property {Uint32Array} ofCorner Place of each corner.
 * @property {Float32Array} normals Mean direction that the facets around each place face, three numbers each.
 */

/** @typedef {{ ofPlace: Uint32Array, corners: number[] }} Cells Cell of each place, and the corner that each cell keeps. */

/**
 * A surface of at most `most` facets, or the coarsest there is.
 * @param {Solid} solid
 * @param {number} most
 */
function coarsenSurface(solid, most) {
  const places = findDistinctPlaces(solid);
  let coarse = solid;
  for (const cells of COARSE_CELLS) {
    coarse = joinCells(solid, places, clusterPlaces(solid, places, cells));
    if (coarse.facets.length <= 3 * most) break;
  }
  return coarse;
}

/**
 * @param {Solid} solid
 * @returns {Places}
 */
function findDistinctPlaces({ places, faces, facets }) {
  const ofCorner = new Uint32Array(faces.length);
  /** @type {Map<number, number>} */
  const seen = new Map();
  for (let i = 0; i < faces.length; i++) {
    const key = (places[4 * i] * PLACE_CODES + places[4 * i + 1]) * PLACE_CODES + places[4 * i + 2];
    const known = seen.get(key) ?? seen.size;
    seen.set(key, known);
    ofCorner[i] = known;
  }
  /** @type {(corner: number) => Vector} */
  const at = (corner) => [places[4 * corner], places[4 * corner + 1], places[4 * corner + 2]];
  const normals = new Float32Array(seen.size * 3);
  for (let f = 0; f < facets.length; f += 3) {
    const a = at(facets[f]), b = at(facets[f + 1]), c = at(facets[f + 2]);
    const normal = cross(add(b, a, -1), add(c, a, -1));
    for (let end = 0; end < 3; end++)
      for (let axis = 0; axis < 3; axis++) normals[3 * ofCorner[facets[f + end]] + axis] += normal[axis];
  }
  return { ofCorner, normals };
}

/**
 * Puts all places of one cell that face the same way together: the first one stays.
 * @param {Solid} solid
 * @param {Places} distinct
 * @param {number} count Cells along the longest side.
 * @returns {Cells}
 */
function clusterPlaces({ places, faces }, { ofCorner, normals }, count) {
  const edge = PLACE_CODES / count;
  /** @type {Map<number, number>} */
  const seen = new Map();
  const ofPlace = new Uint32Array(normals.length / 3).fill(NO_CELL);
  /** @type {number[]} */
  const corners = [];
  for (let i = 0; i < faces.length; i++) {
    const place = ofCorner[i];
    if (ofPlace[place] !== NO_CELL) continue;
    const [x, y, z] = [0, 1, 2].map((axis) => Math.floor(places[4 * i + axis] / edge));
    const octant = [0, 1, 2].reduce((sum, axis) => sum * 2 + (normals[3 * place + axis] > 0 ? 1 : 0), 0);
    const key = ((x * CELL_BASE + y) * CELL_BASE + z) * 8 + octant;
    const known = seen.get(key);
    ofPlace[place] = known ?? corners.length;
    if (known !== undefined) continue;
    seen.set(key, corners.length);
    corners.push(i);
  }
  return { ofPlace, corners };
}

/**
 * The surface between the cells, with a corner for each face and half that meet in a cell.
 * @param {Solid} solid
 * @param {Places} places
 * @param {Cells} cells
 * @returns {Solid}
 */
function joinCells(solid, places, cells) {
  /** @type {Map<number, number>} */
  const seen = new Map();
  /** @type {number[]} */
  const corners = [];
  const cellOf = (/** @type {number} */ corner) => cells.ofPlace[places.ofCorner[corner]];
  const renumber = (/** @type {number} */ corner) => {
    const side = solid.normals[4 * corner + 3] > 0 ? 1 : 0;
    const key = (cellOf(corner) * FACE_BASE + (solid.faces[corner] % FACE_BASE)) * 2 + side;
    const known = seen.get(key) ?? corners.length;
    if (known === corners.length) corners.push(corner);
    seen.set(key, known);
    return known;
  };
  const list = (/** @type {Uint32Array} */ all, /** @type {number} */ ends) => {
    const kept = [];
    for (let first = 0; first < all.length; first += ends) {
      const a = cellOf(all[first]), b = cellOf(all[first + 1]), c = ends > 2 ? cellOf(all[first + 2]) : NO_CELL;
      if (a === b || b === c || c === a) continue;
      for (let end = 0; end < ends; end++) kept.push(renumber(all[first + end]));
    }
    return new Uint32Array(kept);
  };
  const facets = list(solid.facets, 3), edges = list(solid.edges, 2);
  return {
    places: pickCorners(solid.places, corners.map((corner) => cells.corners[cellOf(corner)])),
    normals: pickCorners(solid.normals, corners), values: pickCorners(solid.values, corners),
    faces: Uint32Array.from(corners, (corner) => solid.faces[corner]), facets, edges,
  };
}

/**
 * The four numbers of each of `corners`.
 * @template {Uint16Array | Int8Array} List
 * @param {List} data
 * @param {number[]} corners
 * @returns {List}
 */
function pickCorners(data, corners) {
  const list = data.slice(0, corners.length * 4);
  corners.forEach((corner, to) => list.set(data.subarray(4 * corner, 4 * corner + 4), 4 * to));
  return /** @type {List} */ (list);
}
