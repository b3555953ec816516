// @ts-check
// A page that shows one report all the time.

void startReport(new AbortController().signal);
