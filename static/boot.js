// Starts the page: loads the module and hands over to it, or says in the page why it could not.
import start from "./leadbar.js";

function explain(what, remedy, error) {
  const note = document.createElement("main");
  note.setAttribute("role", "alert");
  note.id = "boot-failure";
  for (const [tag, text] of [["h1", what], ["p", remedy], ["pre", String(error ?? "")]]) {
    if (!text) continue;
    const line = document.createElement(tag);
    line.textContent = text;
    note.append(line);
  }
  document.getElementById("boot")?.remove();
  document.body.append(note);
}

if (typeof WebAssembly !== "object") {
  explain("This browser cannot run Leadbar.", "It lacks WebAssembly. Please use a browser released in the last few years.");
} else {
  try {
    await start();
    document.getElementById("boot")?.remove();
  } catch (error) {
    explain("Leadbar did not start.", "Check the connection and load the page again. If it still fails, this is what the browser said:", error);
    throw error;
  }
}
