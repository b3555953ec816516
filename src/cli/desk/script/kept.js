// @ts-check
// What stays on this machine: files of the shop and settings of this page.

/**
 * What lies in the folder of the user's own.
 * @typedef {{ folder: string | null, files: string[], problem: string | null }} Kept
 */

const keptFiles = element("kept-files", HTMLElement), keptFolder = element("kept-folder", HTMLElement);
const drawerSwitch = element("drawer-switch", HTMLButtonElement);

/**
 * Shows or hides everything that is chosen, so that the answer has the whole window.
 * @param {boolean} isShown
 */
function setDrawer(isShown) {
  mainForm.hidden = !isShown;
  drawerSwitch.setAttribute("aria-expanded", String(isShown));
  drawerSwitch.textContent = isShown ? "Hide choices" : "Show choices";
}

/** Keeps how the page is set; the next change tries again. */
const keepSettings = () =>
  askFor("settings", { checks_by_itself: byItself.checked, shows_choices: !mainForm.hidden }).then(showKeptFiles).catch(() => {});

/** @param {Kept} kept */
function showKeptFiles(kept) {
  const { folder, files, problem } = kept;
  keptFolder.textContent = problem ?? (folder === null ? "Nothing is kept: no folder of your own is known."
    : files.length ? `In ${folder}; every goodshot command uses these files.`
      : `Nothing yet. Your own files go to ${folder} when a check uses them.`);
  keptFiles.replaceChildren(...files.map((name) => {
    const item = createElement("li", `${name} `), button = createElement("button", "Erase");
    button.type = "button";
    button.className = "second small";
    button.setAttribute("aria-label", `Erase ${name}`);
    button.addEventListener("click", () => void eraseKept(name));
    item.append(button);
    return item;
  }));
}

/** @param {string} name */
async function eraseKept(name) {
  try {
    showKeptFiles(await askFor("kept/erase", { name }));
    keptFolder.focus();
  } catch (problem) {
    complain(problem);
  }
}

/** Shows what is kept now. */
const showKept = () => ask("kept").then(showKeptFiles).catch(() => {});
