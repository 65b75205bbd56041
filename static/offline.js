// Has the page kept on the device, and offers a newer build without ever forcing it.
//
// Speaks with the page by events on the window: `leadbar-newer` (a newer build waits), `leadbar-take-newer` (the
// page wants it), `leadbar-others` (another tab must be closed first). `data-newer` on the root tells the same to a
// page that listens late.

let asked = false;

export async function keepOffline() {
  const workers = navigator.serviceWorker;
  // A package on a learning platform is the platform's to keep.
  if (!workers || document.querySelector("meta[name='leadbar-package']")) return;
  workers.addEventListener("message", ({ data }) => {
    if (data === "others are open") tell("leadbar-others");
  });
  workers.addEventListener("controllerchange", () => {
    if (asked) location.reload();
  });
  try {
    const registration = await workers.register(new URL("./service.js", import.meta.url), { updateViaCache: "none" });
    if (registration) watch(registration);
  } catch (error) {
    // A host without a secure connection, or a browser that is told to keep nothing: the page works all the same.
    console.warn("The page is not kept for offline use:", error);
  }
}

function watch(registration) {
  if (registration.waiting) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const found = registration.installing;
    found?.addEventListener("statechange", () => {
      if (found.state === "installed" && navigator.serviceWorker.controller) offer(found);
    });
  });
}

function offer(worker) {
  document.documentElement.dataset.newer = "";
  window.addEventListener("leadbar-take-newer", () => {
    asked = true;
    worker.postMessage("take over");
  });
  tell("leadbar-newer");
}

function tell(name) {
  window.dispatchEvent(new Event(name));
}
