// Records one thing at a time with the microphone and sends it to the desk as a WAV file.
"use strict";

/** Samples from -1 to 1 as a WAV file of one channel with 16 bits. */
function wav(blocks, rate) {
  const count = blocks.reduce((sum, block) => sum + block.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 2 * count));
  const word = (at, letters) => [...letters].forEach((letter, n) => view.setUint8(at + n, letter.charCodeAt(0)));
  word(0, "RIFF");
  view.setUint32(4, 36 + 2 * count, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, 2 * rate, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  word(36, "data");
  view.setUint32(40, 2 * count, true);
  let at = 44;
  for (const block of blocks) {
    for (const sample of block) {
      view.setInt16(at, Math.round(Math.max(-1, Math.min(1, sample)) * 32767), true);
      at += 2;
    }
  }
  return new Blob([view], { type: "audio/wav" });
}

/** What the microphone hears from now on, until `end` gives it as a file. */
async function listen(worklet) {
  // What makes calls clearer cuts off the beginnings of short sounds.
  const plain = { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: false };
  const stream = await navigator.mediaDevices.getUserMedia({ audio: plain });
  const context = new AudioContext();
  const blocks = [];
  const stopped = () => {
    stream.getTracks().forEach((track) => track.stop());
    return context.close();
  };
  try {
    await context.audioWorklet.addModule(worklet);
    const node = new AudioWorkletNode(context, "recorder");
    node.port.onmessage = ({ data }) => blocks.push(data);
    context.createMediaStreamSource(stream).connect(node).connect(context.destination);
  } catch (error) {
    await stopped();
    throw error;
  }
  return async () => {
    await stopped();
    return wav(blocks, context.sampleRate);
  };
}

class Voice {
  constructor(room) {
    this.room = room;
    this.words = room.dataset;
    this.running = null; // what is being recorded: its line and what ends it
    for (const button of room.querySelectorAll("[data-record]")) {
      button.hidden = false;
      button.addEventListener("click", () => this.press(button));
    }
  }

  async press(button) {
    const line = button.closest("li");
    if (this.busy) return;
    this.busy = true;
    try {
      if (this.running === null) await this.begin(line, button);
      else if (this.running.line === line) await this.finish();
    } finally {
      this.busy = false;
    }
  }

  async begin(line, button) {
    let end;
    try {
      end = await listen(this.words.worklet);
    } catch {
      this.say(line, this.words.none);
      return;
    }
    const timer = setTimeout(() => this.press(button), 1000 * Number(this.words.longest) - 500);
    this.running = { line, button, end, timer };
    button.textContent = this.words.stop;
    button.classList.remove("quiet");
    line.classList.add("recording");
    for (const other of this.room.querySelectorAll("[data-record]")) other.disabled = other !== button;
    this.say(line, this.words.listening);
  }

  async finish() {
    const { line, button, end, timer } = this.running;
    clearTimeout(timer);
    this.say(line, this.words.sending);
    const file = await end();
    this.running = null;
    line.classList.remove("recording");
    for (const other of this.room.querySelectorAll("[data-record]")) other.disabled = false;
    const listening = line.querySelector("audio");
    button.textContent = listening.hidden ? this.words.start : this.words.again;
    try {
      const form = new FormData();
      form.append("file", file, "recorded.wav");
      const headers = { "X-CSRF-Token": this.words.token, Accept: "application/json" };
      const answer = await fetch(line.dataset.keep, { method: "POST", body: form, headers });
      const { said, listen: address } = await answer.json();
      this.say(line, said);
      if (!answer.ok) return;
      listening.src = `${address}?${Date.now()}`; // another recording at the same address
      listening.hidden = false;
      button.textContent = this.words.again;
      button.classList.add("quiet");
      line.querySelector("[data-remove]").hidden = false;
    } catch {
      this.say(line, this.words.lost);
    }
  }

  say(line, words) {
    line.querySelector(".state").textContent = words;
  }
}

const room = document.querySelector("[data-voice]");
if (room !== null && "AudioWorkletNode" in window && navigator.mediaDevices) new Voice(room);
