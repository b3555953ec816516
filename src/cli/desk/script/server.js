// @ts-check
// What goodshot is asked, and what it refuses.

// A refusal that holds only for a moment: too much is asked at once.
const BUSY = 429;
// Asked again after so long.
const ASK_AGAIN_MS = 300;
const NO_ANSWER = "goodshot does not answer: is it still running in its terminal?";

/** A refusal, with the field that it is about and whether it holds only for a moment. */
class Refusal extends Error {
  /**
   * @param {string} text
   * @param {string | null} field
   * @param {boolean} isBusy
   */
  constructor(text, field = null, isBusy = false) {
    super(text);
    this.field = field;
    this.isBusy = isBusy;
  }
}

/** @param {number} ms */
const waitFor = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * What goodshot answers; a refusal becomes an error.
 * @param {string} path
 * @param {RequestInit} [options]
 */
async function ask(path, options) {
  let response;
  try {
    response = await fetch(path, options);
  } catch {
    throw new Refusal(NO_ANSWER);
  }
  const reply = await response.json().catch(() => ({}));
  if (!response.ok)
    throw new Refusal(reply.error || `goodshot refused this (${response.status}).`, reply.field ?? null, response.status === BUSY);
  return reply;
}

/**
 * @param {string} path
 * @param {unknown} what
 */
const askFor = (path, what) =>
  ask(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(what) });

/**
 * Asks again until there is room.
 * @template T
 * @param {() => Promise<T>} request
 */
async function askUntilFree(request) {
  for (;;) {
    try {
      return await request();
    } catch (problem) {
      if (!(problem instanceof Refusal) || !problem.isBusy) throw problem;
      await waitFor(ASK_AGAIN_MS);
    }
  }
}

/**
 * @param {string} path
 * @param {File} file
 */
const sendFile = (path, file) => ask(`${path}?name=${encodeURIComponent(file.name)}`, { method: "POST", body: file });
