// Four taps on a photo: two ends of the known length, two ends of the mark, in pixels of the photo.
(() => {
  const image = document.getElementById("photo");
  const box = document.getElementById("onphoto");
  if (!image || !box) return;
  const names = ["known_from", "known_to", "mark_from", "mark_to"];
  const field = (name) => document.getElementById(name);
  const svg = document.getElementById("taps");
  const said = document.getElementById("photo-next");
  const { sayKnownFrom, sayKnownTo, sayMarkFrom, sayMarkTo, sayAll } = said.dataset;
  const words = [sayKnownFrom, sayKnownTo, sayMarkFrom, sayMarkTo, sayAll];
  const again = document.getElementById("again");
  let taps = [];
  document.documentElement.classList.add("live");

  const shape = (kind, attributes) => {
    for (const cls of ["", "over"]) {
      const e = document.createElementNS("http://www.w3.org/2000/svg", kind);
      for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
      e.setAttribute("class", cls);
      svg.append(e);
    }
  };
  const paint = () => {
    svg.setAttribute("viewBox", `0 0 ${image.naturalWidth} ${image.naturalHeight}`);
    svg.replaceChildren();
    const radius = image.naturalWidth / 60;
    taps.forEach(([x, y]) => shape("circle", { cx: x, cy: y, r: radius }));
    for (const i of [0, 2]) {
      if (taps[i + 1]) shape("line", { x1: taps[i][0], y1: taps[i][1], x2: taps[i + 1][0], y2: taps[i + 1][1] });
    }
    names.forEach((name, i) => { if (taps[i]) field(name).value = `${taps[i][0]}, ${taps[i][1]}`; });
    said.textContent = words[taps.length];
    again.hidden = !taps.length;
  };
  box.addEventListener("click", (event) => {
    const at = image.getBoundingClientRect();
    const point = [
      Math.round(((event.clientX - at.left) * image.naturalWidth) / at.width),
      Math.round(((event.clientY - at.top) * image.naturalHeight) / at.height),
    ];
    if (taps.length === names.length) taps.pop();
    taps.push(point);
    paint();
  });
  again.addEventListener("click", () => {
    taps = [];
    names.forEach((name) => { field(name).value = ""; });
    paint();
  });
  if (image.complete) paint();
  else image.addEventListener("load", paint);
})();
