// @ts-check
// The page of "goodshot desk". Everything is asked of this same address; names and messages are set as text, and the
// pieces of HTML come escaped from goodshot itself.

/** @typedef {"press" | "plastics" | "tools"} List A list of the user's own files. */
/** @typedef {[string, string][]} Pairs Options and their values, or values and what is shown of them. */
/** @typedef {{ id: number, text: string }} Part Its number at goodshot, and what is shown of it. */

/**
 * What is asked for in a run.
 * @typedef {{ part: number | null, press: number | null, plastics: number | null, cutters: number | null, chosen: Pairs }} Choices
 */

/** @typedef {"waiting" | "at" | "stopping" | "stopped" | "done" | "failed"} RunState */

/**
 * A run as the table shows it.
 * @typedef {object} Row
 * @property {number} run
 * @property {"check" | "mold" | "diagnosis" | "comparison"} kind
 * @property {string} part
 * @property {string} changed
 * @property {RunState} state
 * @property {string} said The step that it is at, or what came of it.
 * @property {string} look The class that its colors go by.
 * @property {Choices} request
 * @property {string[]} steps
 * @property {number | null} step
 * @property {boolean} seen Whether its part can be shown.
 * @property {boolean} answered Whether its answer is known, though pictures may be to come.
 * @property {number | null} seconds How long that took.
 * @property {boolean} from_folder Whether it began by itself, with a part that came into the folder that is watched.
 */

/** @typedef {Row & { answer: string, files: string[], page: string | null, error?: string }} Reply A run with all that came of it. */

/**
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} type
 */
function element(id, type) {
  const found = document.getElementById(id);
  if (!(found instanceof type)) throw new Error(id);
  return found;
}

/**
 * A new element with a text.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {string} text
 */
function createElement(tag, text) {
  const made = document.createElement(tag);
  made.textContent = text;
  return made;
}

const mainForm = element("form", HTMLFormElement), dropPlace = element("drop", HTMLElement);
const partInput = element("part", HTMLInputElement), partName = element("part-name", HTMLElement);
const plasticField = element("plastic", HTMLSelectElement);
const checkButton = element("check", HTMLButtonElement), stopButton = element("stop", HTMLButtonElement);
const stoppedLine = element("stopped", HTMLElement), errorLine = element("error", HTMLElement);
const progressBox = element("progress", HTMLElement), stepList = element("steps", HTMLElement);
const stepLine = element("step", HTMLElement), answerBox = element("answer", HTMLElement);
const filesBox = element("files-box", HTMLElement), fileList = element("files", HTMLElement);

const notice = element("notice", HTMLElement);

const { mostMb = "", mostTableKb = "", watches } = document.body.dataset;
const WATCHES_FOLDER = watches !== undefined;
const PART_LIMIT = { bytes: Number(mostMb) * 1024 * 1024, text: `${mostMb} MB at most; a coarser export is enough` };
const TABLE_LIMIT = { bytes: Number(mostTableKb) * 1024, text: `${mostTableKb} KB at most` };
const TITLE = document.title;

/**
 * What the page shows.
 * @typedef {object} Desk
 * @property {Part | null} part What the next check is of.
 * @property {Map<number, Part>} parts
 * @property {Row[]} rows
 * @property {Reply | null} shown
 * @property {number | null} awaited The run whose answer is shown as soon as it is there.
 * @property {boolean} isWatching
 * @property {boolean} isQuiet Whether the run that one waits for began by itself, and moves nothing on the screen.
 */

/** @type {Desk} */
const desk = { part: null, parts: new Map(), rows: [], shown: null, awaited: null, isWatching: false, isQuiet: false };
