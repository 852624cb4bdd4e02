// Only the distributed site has this: during development a stored copy would hide new builds.
if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("service-worker.js").catch((problem) => {
    console.warn(`Lampwright will not work without a network: ${problem}`);
  });
}
