// @ts-check
// Vectors: lists of three numbers, in part coordinates, mm where they are places.

/** @typedef {[number, number, number]} Vector */

/**
 * @param {Vector} a
 * @param {Vector} b
 */
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/**
 * `a` and `factor` times `b`.
 * @param {Vector} a
 * @param {Vector} b
 * @returns {Vector}
 */
const add = (a, b, factor = 1) => [a[0] + b[0] * factor, a[1] + b[1] * factor, a[2] + b[2] * factor];

/**
 * @param {Vector} a
 * @param {number} factor
 * @returns {Vector}
 */
const scale = (a, factor) => [a[0] * factor, a[1] * factor, a[2] * factor];

/**
 * @param {Vector} a
 * @param {Vector} b
 * @returns {Vector}
 */
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

/**
 * `a` at length 1; a vector of no length stays as it is.
 * @param {Vector} a
 */
const normalize = (a) => scale(a, 1 / (Math.hypot(...a) || 1));
