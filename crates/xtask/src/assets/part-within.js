// Reads the other part of the app from this page, as if it had been fetched.
async function partWithin(id) {
  const stored = document.getElementById(id).textContent;
  const bytes = Uint8Array.from(atob(stored), (character) => character.charCodeAt(0));
  return new Response(bytes, { headers: { "Content-Type": "application/wasm" } });
}
