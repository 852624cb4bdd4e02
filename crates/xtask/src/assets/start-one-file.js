
// Starts the app from the WebAssembly that is part of this page.
const stored = document.getElementById("lampwright-wasm").textContent;
const bytes = Uint8Array.from(atob(stored), (character) => character.charCodeAt(0));
try {
  await __wbg_init({ module_or_path: bytes });
} catch (problem) {
  const notice = document.createElement("p");
  notice.setAttribute("role", "alert");
  notice.textContent = `Lampwright could not start in this browser: ${problem}. Try a current browser with WebAssembly`;
  document.body.append(notice);
  throw problem;
}
