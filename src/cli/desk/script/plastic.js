// @ts-check
// A plastic of the user's own as a form.

/**
 * What stands in the form.
 * @typedef {{ name: string, like: string, source: string, values: Pairs, kept: string }} FilledPlastic
 */

const plasticForm = element("plastic-form", HTMLFormElement), plasticName = element("plastic-name", HTMLInputElement);
const plasticLike = element("plastic-like", HTMLSelectElement), plasticSource = element("plastic-source", HTMLInputElement);

/** What the form does not show of a file that was opened. */
let keptOfPlastic = "";

/** @type {FileForm} */
const PLASTIC_FORM = {
  id: "plastic", list: "plastics",
  read: () => ({
    name: plasticName.value, like: plasticLike.value, source: plasticSource.value, values: readValues(plasticForm),
    kept: keptOfPlastic,
  }),
  fill: (/** @type {FilledPlastic} */ filled) => {
    keptOfPlastic = filled.kept;
    plasticName.value = filled.name;
    plasticLike.value = filled.like;
    plasticSource.value = filled.source;
    fillValues(plasticForm, filled.values);
  },
  show: () => {},
};
