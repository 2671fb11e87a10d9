// A recording made here, or one in a sound format of the phone's, becomes a WAV on this device before
// it is sent. Without script, or where the browser can't, a WAV or a log is chosen as ever.
(() => {
  const input = document.getElementById("listen-record");
  const part = document.getElementById("hear");
  if (!input || !part || !window.OfflineAudioContext || !window.DataTransfer) return;
  const said = document.getElementById("hear-said");
  const say = (name, seconds = 0) => {
    said.textContent = said.dataset[name].replace("{n}", seconds.toFixed(0));
  };
  const start = document.getElementById("hear-start");
  const stop = document.getElementById("hear-stop");
  const RATE = 16000; // samples a second: pitches to 7 kHz, a megabyte for half a minute
  const MOST = 120; // seconds listened to
  const READ_AS_IT_IS = /\.(wav|csv|txt|tsv)$/i;

  const mono = (sound) => {
    const mixed = new Float32Array(Math.min(sound.length, MOST * RATE));
    for (let c = 0; c < sound.numberOfChannels; c += 1) {
      const side = sound.getChannelData(c);
      for (let i = 0; i < mixed.length; i += 1) mixed[i] += side[i] / sound.numberOfChannels;
    }
    return mixed;
  };
  const wav = (samples) => {
    const bytes = new DataView(new ArrayBuffer(44 + 2 * samples.length));
    const text = (at, word) => { for (let i = 0; i < 4; i += 1) bytes.setUint8(at + i, word.charCodeAt(i)); };
    const whole = (at, value) => bytes.setUint32(at, value, true);
    const half = (at, value) => bytes.setUint16(at, value, true);
    text(0, "RIFF"); whole(4, 36 + 2 * samples.length); text(8, "WAVE"); text(12, "fmt ");
    whole(16, 16); half(20, 1); half(22, 1); whole(24, RATE); whole(28, 2 * RATE); half(32, 2); half(34, 16);
    text(36, "data"); whole(40, 2 * samples.length);
    const most = samples.reduce((m, s) => Math.max(m, Math.abs(s)), 1e-9);
    samples.forEach((s, i) => bytes.setInt16(44 + 2 * i, Math.round((32000 * s) / most), true));
    return bytes.buffer;
  };
  const take = async (sound, name) => {
    const samples = mono(await new OfflineAudioContext(1, 1, RATE).decodeAudioData(await sound.arrayBuffer()));
    const chosen = new DataTransfer();
    chosen.items.add(new File([wav(samples)], `${name}.wav`, { type: "audio/wav" }));
    input.files = chosen.files;
    return samples.length / RATE;
  };

  input.accept += ",audio/*";
  input.addEventListener("change", async () => {
    const [file] = input.files;
    said.textContent = "";
    if (!file || READ_AS_IT_IS.test(file.name)) return;
    try {
      const seconds = await take(file, "sound");
      say("sayPrepared", seconds);
    } catch {
      input.value = "";
      say("sayNoSound");
    }
  });

  if (!navigator.mediaDevices?.getUserMedia || !window.MediaRecorder) return;
  part.hidden = false;
  start.addEventListener("click", async () => {
    let stream;
    try { // the phone's own tidying would take the knocks for noise
      stream = await navigator.mediaDevices.getUserMedia({
        audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
      });
    } catch {
      say("sayBlocked");
      return;
    }
    const recorder = new MediaRecorder(stream);
    const pieces = [];
    const begun = performance.now();
    const tick = setInterval(() => {
      const seconds = (performance.now() - begun) / 1000;
      say(seconds < 30 ? "sayShort" : "sayLong", seconds);
      if (seconds >= MOST) stop.click();
    }, 1000);
    recorder.addEventListener("dataavailable", ({ data }) => pieces.push(data));
    recorder.addEventListener("stop", async () => {
      clearInterval(tick);
      stream.getTracks().forEach((track) => track.stop());
      try {
        const seconds = await take(new Blob(pieces, { type: recorder.mimeType }), "recording");
        say("sayRecorded", seconds);
      } catch {
        say("sayUnread");
      }
      start.hidden = false;
    });
    stop.onclick = () => { stop.hidden = true; recorder.stop(); start.focus(); };
    start.hidden = true;
    stop.hidden = false;
    say("sayBegun");
    recorder.start();
    stop.focus();
  });
})();
