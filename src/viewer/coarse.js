// A coarse stand-in for the surface, drawn while the hand moves where all of it is slow: corners near each other that
// face the same way become one (vertex clustering, Rossignac and Borrel 1993). Places are joined before faces are told
// apart, so no crack opens; a facet that keeps fewer than three places is gone.

// Cells along the longest side, finest first: the first that leaves few enough facets is taken.
const COARSE_CELLS = [90, 64, 45];

function coarsened(solid, most) {
  const { places, faces, facets } = solid, corners = faces.length;
  const key = (i) => (places[4 * i] * 65536 + places[4 * i + 1]) * 65536 + places[4 * i + 2];
  // Every place once, with the mean of the ways that the facets around it face.
  const spot = new Uint32Array(corners), spots = new Map();
  for (let i = 0; i < corners; i++) {
    const at = key(i), known = spots.get(at);
    if (known === undefined) spots.set(at, (spot[i] = spots.size));
    else spot[i] = known;
  }
  const way = new Float32Array(spots.size * 3);
  for (let f = 0; f < facets.length; f += 3) {
    const [a, b, c] = [facets[f], facets[f + 1], facets[f + 2]].map((i) => [places[4 * i], places[4 * i + 1], places[4 * i + 2]]);
    const across = cross([0, 1, 2].map((i) => b[i] - a[i]), [0, 1, 2].map((i) => c[i] - a[i]));
    for (let k = 0; k < 3; k++) for (let axis = 0; axis < 3; axis++) way[3 * spot[facets[f + k]] + axis] += across[axis];
  }
  for (const cells of COARSE_CELLS) {
    const few = joined(solid, spot, way, cells);
    if (few.facets.length <= 3 * most || cells === COARSE_CELLS[COARSE_CELLS.length - 1]) return few;
  }
}

function joined({ places, normals, values, faces, facets, edges }, spot, way, count) {
  // Of all places in one cell that face the same way, the first stands for all.
  const edge = 65536 / count, cells = new Map(), cell = new Uint32Array(way.length / 3).fill(0xffffffff), stands = [];
  for (let i = 0; i < faces.length; i++) {
    const s = spot[i];
    if (cell[s] !== 0xffffffff) continue;
    const [x, y, z] = [0, 1, 2].map((axis) => Math.floor(places[4 * i + axis] / edge));
    const facing = [0, 1, 2].reduce((sum, axis) => sum * 2 + (way[3 * s + axis] > 0), 0);
    const at = ((x * 128 + y) * 128 + z) * 8 + facing, known = cells.get(at);
    if (known === undefined) {
      cells.set(at, (cell[s] = stands.length));
      stands.push(i);
    } else cell[s] = known;
  }
  // Corners anew: one for each face and half that meet at a place.
  const made = new Map(), from = [], where = [];
  const corner = (i) => {
    const at = (cell[spot[i]] * 4194304 + (faces[i] % 2097152) * 2) + (normals[4 * i + 3] > 0);
    const known = made.get(at);
    if (known !== undefined) return known;
    made.set(at, from.length);
    from.push(i);
    where.push(stands[cell[spot[i]]]);
    return from.length - 1;
  };
  const list = (all, ends) => {
    const kept = [];
    for (let f = 0; f < all.length; f += ends) {
      const [a, b, c] = [0, 1, 2].map((k) => (k < ends ? cell[spot[all[f + k]]] : -1));
      if (a !== b && b !== c && c !== a)
        for (let k = 0; k < ends; k++) kept.push(corner(all[f + k]));
    }
    return new Uint32Array(kept);
  };
  const few = { facets: list(facets, 3), edges: list(edges, 2) };
  const pick = (data, source) => {
    const picked = new data.constructor(from.length * 4);
    source.forEach((i, to) => picked.set(data.subarray(4 * i, 4 * i + 4), 4 * to));
    return picked;
  };
  return { ...few, places: pick(places, where), normals: pick(normals, from), values: pick(values, from),
    faces: Uint32Array.from(from, (i) => faces[i]) };
}
