// Works away from the page: the same module, one job after another.
// The first message is the compiled module; a text that comes back says that something broke.
import start, { work } from "./leadbar.js";

let ready;

self.onmessage = async ({ data }) => {
  try {
    if (data instanceof WebAssembly.Module) {
      ready = start({ module_or_path: data });
      await ready;
    } else {
      await ready;
      work(data);
    }
  } catch (error) {
    self.postMessage(String(error));
  }
};
