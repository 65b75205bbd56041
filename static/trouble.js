// What is shown in place of the page when it cannot go on: calm words, what to do, and a report to pass on.

// A sentence in the reader's language, as first.js found it.
export const say = (text) => globalThis.leadbarWords?.[text] ?? text;

// Shows it, once: what breaks after the first break is a consequence of it.
export function explain({ what, remedy, report, again = false }) {
  if (document.getElementById("boot-failure")) return;
  const note = document.createElement("main");
  note.setAttribute("role", "alert");
  note.id = "boot-failure";
  note.append(line("h1", what), line("p", remedy));
  const doing = document.createElement("div");
  doing.className = "line-up";
  if (again) doing.append(button(say("Load the page again"), () => location.reload()));
  if (report) {
    const copied = line("p", "");
    copied.setAttribute("role", "status");
    const copy = button(say("Copy the report"), async () => {
      try {
        await navigator.clipboard.writeText(report);
        copied.textContent = say("Copied.");
      } catch {
        copied.textContent = say("The browser does not let this page copy: select the report below.");
      }
    });
    doing.append(copy, copied);
  }
  note.append(doing);
  if (report) {
    const shown = line("pre", report);
    shown.tabIndex = 0;
    note.append(shown);
  }
  document.getElementById("boot")?.remove();
  // What is left of the page no longer answers.
  for (const element of document.body.children) element.hidden = true;
  document.body.append(note);
}

// Watches for what the page itself can no longer tell.
export function watchForTrouble() {
  window.addEventListener("leadbar-panic", ({ detail }) => broke(detail));
  window.addEventListener("error", ({ error }) => {
    // Whatever went through the module without being caught there has left it in an unknown state.
    if (error instanceof WebAssembly.RuntimeError || error?.stack?.includes("leadbar_bg.wasm")) broke(error.stack);
  });
  window.addEventListener("unhandledrejection", ({ reason }) => {
    if (reason instanceof WebAssembly.RuntimeError) broke(reason.stack);
  });
}

function broke(report) {
  explain({
    what: say("Something went wrong in Leadbar."),
    remedy: say("Your work is saved on this device, up to the last second. Load the page again to go on."),
    report: `${report}\n\n${location.pathname}${location.hash.split("?")[0].slice(0, 40)}\n${navigator.userAgent}`,
    again: true,
  });
}

function line(tag, text) {
  const element = document.createElement(tag);
  element.textContent = text;
  return element;
}

function button(text, act) {
  const element = line("button", text);
  element.type = "button";
  element.className = "do";
  element.addEventListener("click", act);
  return element;
}
