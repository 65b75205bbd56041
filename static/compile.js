// Compiles the engine away from the page, which would be held up by it, and hands it over: the module, or nothing where
// it could not be had here.
WebAssembly.compileStreaming(fetch("./engine_bg.wasm"))
  .catch(() => null)
  .then((engine) => {
    self.postMessage(engine);
    self.close();
  });
