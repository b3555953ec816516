// @ts-check
// What the page holds about the part, as scene.rs writes it, and how it is looked up.

/** @typedef {[number, number, number]} Rgb Red, green and blue, each 0 to 255. */

/**
 * One value of the surface, with its scale.
 * @typedef {object} Field
 * @property {string} key
 * @property {string} name
 * @property {string} unit
 * @property {number} digits Digits after the point where a value is written.
 * @property {number} base Value of code 0.
 * @property {number} step Difference of one code.
 * @property {number} low Value of the first color.
 * @property {number} high Value of the last color.
 * @property {Rgb[]} colors
 * @property {number[]} limits
 * @property {boolean} signed Whether values below zero are hatched.
 * @property {string} gap What is written where there is no value.
 * @property {boolean} known Whether there are any values.
 */

/** @typedef {{ name: string, color: Rgb, hatched: boolean }} Kind How the surface leaves the mold. */

/**
 * A place with a letter or a number.
 * @typedef {object} Mark
 * @property {string} show Key of the check box that shows it.
 * @property {string} text
 * @property {string} what
 * @property {string} inches The same in inches and pounds.
 * @property {Vector} at
 * @property {Vector} look Unit vector from the place towards the eye.
 * @property {boolean} hidden Whether something stands before it from everywhere.
 * @property {number} side Half that it moves with: 1, -1, or 0 for neither.
 * @property {number | null} cause Index of its cause.
 * @property {boolean} first Whether it shows before a cause is chosen.
 * @property {string | null} field Coloring that shows it best.
 */

/** @typedef {{ kind: "parting" | "pin", side: number, points: Vector[] }} Line */

/**
 * @typedef {object} Scene
 * @property {boolean} closed Whether what is cut may be closed.
 * @property {number[]} solids What closes on its own: 1 and -1 for each half, 0 for both together.
 * @property {number} corners
 * @property {number} facets
 * @property {number} edges
 * @property {Vector} low Place of code 0, mm.
 * @property {Vector} step Difference of one code, mm.
 * @property {Codes} codes
 * @property {Vector} pull
 * @property {Field[]} fields
 * @property {Kind[]} kinds
 * @property {{ name: string, color: Rgb }[]} problems What may be wrong, by code from 1.
 * @property {Rgb} sound Color where nothing is wrong.
 * @property {Rgb} nothing Color where there is no value.
 * @property {[string, number][]} faces Kind of surface and area in mm² of each; none where there are too many.
 * @property {Mark[]} marks
 * @property {Line[]} lines
 * @property {{ left: number, right: number, top: number }} bar Where the bar of a legend lies in its drawing.
 */

/** @typedef {{ last: number, none: number, normal: number }} Codes Last code, code of no value, code of 1 in a normal. */

/**
 * Index of a field, -1 where the coloring is by kind.
 * @param {Scene} scene
 * @param {string} key
 */
const fieldIndex = (scene, key) => scene.fields.findIndex((field) => field.key === key);

/**
 * The value of the last code.
 * @param {Scene} scene
 * @param {Field} field
 */
const greatestValue = (scene, field) => field.base + field.step * scene.codes.last;

/**
 * A number in words, with the minus sign of typography.
 * @param {number} value
 * @param {number} digits
 */
const formatNumber = (value, digits) => value.toFixed(digits).replace("-", "−");
