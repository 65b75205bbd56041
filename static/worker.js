// Plans away from the page: the same module, one question after another.
// The first message is the compiled module; a text that comes back says that something broke.
import start, { plan } from "./leadbar.js";

let ready;

self.onmessage = async ({ data }) => {
  try {
    if (data instanceof WebAssembly.Module) {
      ready = start({ module_or_path: data });
      await ready;
    } else {
      await ready;
      self.postMessage(plan(data));
    }
  } catch (error) {
    self.postMessage(String(error));
  }
};
