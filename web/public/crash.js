// When the compiled app stops for good: says so, and hands out what this browser keeps of the work.
// It stands apart from the app, since nothing of the app can be relied on then.
{
  let isOver = false;

  const read = (key) => {
    try {
      return unpack(localStorage.getItem(`lampwright.${key}`));
    } catch {
      return null;
    }
  };

  // A long text is kept packed: U+0001, its length as four bytes, an LZ4 block, one character for each byte.
  const unpack = (kept) => {
    if (!kept?.startsWith("\u0001")) return kept;
    let at = 1;
    const next = () => kept.charCodeAt(at++);
    const bytes = new Uint8Array(next() + next() * 2 ** 8 + next() * 2 ** 16 + next() * 2 ** 24);
    let end = 0;
    // A length of 15 goes on in the bytes that follow, up to the first below 255.
    const length = (first) => {
      let sum = first;
      for (let more = first === 15 ? 255 : 0; more === 255; sum += more) more = next();
      return sum;
    };
    while (at < kept.length) {
      const token = next();
      for (let left = length(token >> 4); left > 0; left--) bytes[end++] = next();
      if (at >= kept.length) break;
      const back = next() + next() * 2 ** 8;
      // What is repeated may reach into what it makes.
      for (let left = length(token & 15) + 4; left > 0; left--, end++) bytes[end] = bytes[end - back];
    }
    return new TextDecoder().decode(bytes);
  };

  const element = (kind, words, ...children) => {
    const made = document.createElement(kind);
    made.textContent = words;
    made.append(...children);
    return made;
  };

  const button = (words, act) => {
    const made = element("button", words);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  };

  const download = (text) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = "kept-program.json";
    link.click();
  };

  const end = () => {
    if (isOver) return;
    isOver = true;
    // The app may still be called, but must neither paint nor write.
    window.requestAnimationFrame = () => 0;
    const slot = document.documentElement.dataset.slot;
    const text = slot === undefined ? null : read(`program.${slot}`);
    const entry = (read("index") ?? "").split("\n").map((line) => line.split("\t")).find(([key]) => key === slot);
    const words = text === null
      ? "Nothing of this program is kept in this browser: either it had not been changed yet, or it could not be saved"
      : `Your work up to the last saved step is kept in this browser: ${entry?.[2] ?? "the program"}, saved ${entry?.[1] ?? "before"}`;
    const reload = button("Reload", () => location.reload());
    const notice = element(
      "main",
      "",
      element("h1", "Lampwright has stopped because of a fault of its own"),
      element("p", words),
      element("p", "", reload, ...(text === null ? [] : [" ", button("Download the kept program", () => download(text))])),
    );
    notice.className = "stopped";
    notice.id = "stopped";
    notice.setAttribute("role", "alert");
    document.body.replaceChildren(notice);
    reload.focus();
  };

  // A trap of WebAssembly, or its stack at an end: what is in memory is not to be relied on afterwards.
  const check = (problem) => {
    if (problem instanceof WebAssembly.RuntimeError || problem instanceof RangeError) end();
  };

  addEventListener("error", (event) => check(event.error));
  addEventListener("unhandledrejection", (event) => check(event.reason));
  for (const kind of ["pagehide", "beforeunload", "storage", "keydown"]) {
    addEventListener(kind, (event) => isOver && event.stopImmediatePropagation(), true);
  }
}
