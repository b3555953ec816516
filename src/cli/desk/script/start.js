// @ts-check
// Listens, and shows again what goodshot still holds.

connectInput(partInput, (chosen) => void takeParts(chosen));
for (const list of LISTS) connectInput(element(`${list}-file`, HTMLInputElement), ([file]) => void takeTable(list, file));
listOf("plastics").addEventListener("change", () => offerPlastics(plasticField.value));
for (const kind of ["input", "change"]) mainForm.addEventListener(kind, onChoice);
mainForm.addEventListener("change", checkByItself);
document.addEventListener("input", (event) => {
  // What is being changed may be right already.
  if (event.target instanceof HTMLElement) unmarkField(event.target);
});
mainForm.addEventListener("submit", (event) => {
  event.preventDefault();
  void beginCheck(false);
});
element("again", HTMLButtonElement).addEventListener("click", () => void beginCheck(false));
element("print", HTMLButtonElement).addEventListener("click", () => print());
drawerSwitch.addEventListener("click", () => {
  setDrawer(mainForm.hidden);
  void keepSettings();
});
byItself.addEventListener("change", () => void keepSettings());
answerBox.addEventListener("submit", (event) => {
  event.preventDefault();
  if (event.target instanceof HTMLFormElement) void beginFromCheck(event.target);
});
stopButton.addEventListener("click", () => {
  if (desk.awaited !== null) void stopRun(desk.awaited);
});
connectForm(PRESS_FORM);
connectForm(PLASTIC_FORM);
connectCutters();
compareButton.addEventListener("click", () => void beginComparison());
for (const kind of ["dragenter", "dragover"])
  document.addEventListener(kind, (event) => {
    event.preventDefault();
    markPlace(placeOf(event));
  });
document.addEventListener("dragleave", (event) => {
  if (event.relatedTarget === null) markPlace(null);
});
document.addEventListener("drop", takeDropped);

/** Shows parts, choices and the last answer as they were before the page was loaded again. */
async function restoreSession() {
  const reply = await ask("session");
  for (const list of LISTS)
    for (const own of reply[list])
      addOption(list, { id: String(own[TABLES[list].number]), name: own.name, choices: own.choices });
  byItself.checked = reply.settings.checks_by_itself;
  setDrawer(reply.settings.shows_choices);
  /** @type {Choices | null} */
  const choices = reply.choices;
  if (choices) setChoices(choices);
  const parts = reply.parts.map(keepPart);
  setPart(desk.parts.get(choices?.part ?? 0) ?? parts.at(-1) ?? null);
  desk.rows = reply.runs;
  showRows();
  const newest = [...desk.rows].reverse();
  const last = newest.find((row) => row.state === "done" && row.kind !== "comparison");
  if (last) await showAnswer(await ask(`runs/${last.run}`));
  showKeptFiles(reply.kept);
  const now = newest.find(goesOn);
  if (now) followRun(now, true);
  if (WATCHES_FOLDER) void watchRuns();
}

restoreSession().catch((problem) => complain(problem));
