// Works away from the page: the engine does one job after another.
// One message is the compiled engine, which the first jobs wait for; a text that comes back says that something broke.
import start, { work } from "./engine.js";

let begin;
const ready = new Promise((resolve) => (begin = resolve));

self.onmessage = async ({ data }) => {
  try {
    if (data instanceof WebAssembly.Module) {
      begin(start({ module_or_path: data }));
      await ready;
    } else {
      await ready;
      work(data);
    }
  } catch (error) {
    self.postMessage(String(error));
  }
};
