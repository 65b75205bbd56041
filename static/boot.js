// Starts the page: loads the module and hands over to it, or says in the page why it could not.
import start from "./leadbar.js";
import { keepOffline } from "./offline.js";
import { explain, say, watchForTrouble } from "./trouble.js";

if (typeof WebAssembly !== "object") {
  explain({
    what: say("This browser cannot run Leadbar."),
    remedy: say("It lacks WebAssembly. Please use a browser released in the last few years."),
  });
} else {
  watchForTrouble();
  try {
    // The page takes away what is seen before it when it has something to show, and says when it is at rest.
    const settled = new Promise((done) => window.addEventListener("leadbar-settled", done, { once: true }));
    await start();
    await settled;
    await keepOffline();
  } catch (error) {
    explain({
      what: say("Leadbar did not start."),
      remedy: say("Check the connection and load the page again. If it still fails, this is what the browser said:"),
      report: String(error),
      again: true,
    });
    throw error;
  }
}
