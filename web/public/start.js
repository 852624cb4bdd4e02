// Loads the compiled app, and says so in the page when that fails.
import "./crash.js";
import initialize from "./lampwright.js";

try {
  await initialize({ module_or_path: new URL("lampwright_bg.wasm", import.meta.url) });
} catch (problem) {
  const notice = document.createElement("p");
  notice.setAttribute("role", "alert");
  notice.textContent = `Lampwright could not start in this browser: ${problem}. Try a current browser with WebAssembly`;
  document.body.append(notice);
  throw problem;
}
