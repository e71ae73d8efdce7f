// Starts the reader of codes as a worker. Classic script: older browsers start no modules as workers.
importScripts("reader.js");
wasm_bindgen({ module_or_path: "reader_bg.wasm" })
  // Thrown outside the promise, so that the page hears of it.
  .catch((error) => setTimeout(() => { throw error; }));
