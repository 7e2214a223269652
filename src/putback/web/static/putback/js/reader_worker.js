// Reads QR codes in a picture, beside the page, so that the page stays quick. Loads the WebAssembly
// reader when it is first asked. What a picture as it is does not give may be read when it is softened
// (a crease is a thin line), sharpened (grease is a blur) or with its blackest parts alone (ink is
// blacker than a finger mark): each a look of its own.

importScripts("../vendor/zxing-reader.js");

const OPTIONS = { formats: ["QRCode"], tryHarder: true, tryDenoise: true, maxNumberOfSymbols: 8 };

ZXingWASM.prepareZXingModule({
  overrides: { locateFile: (name) => new URL(`../vendor/${name}`, self.location.href).href },
});

const LOOKS = {
  plain: (grey) => grey,
  soft: (grey, width, height) => averaged(averaged(grey, width, height, 2), width, height, 2),
  sharp: (grey, width, height) => {
    const smooth = averaged(grey, width, height, 6);
    return grey.map((value, at) => value + 2 * (value - smooth[at]));
  },
  black: (grey, width, height) => {
    const around = averaged(grey, width, height, 24);
    return grey.map((value, at) => (value > 0.4 * around[at] ? 255 : 0));
  },
};

self.addEventListener("message", async ({ data: { number, picture, looks } }) => {
  try {
    self.postMessage({ number, texts: await textsIn(picture, looks) });
  } catch (error) {
    self.postMessage({ number, fault: String(error) });
  } finally {
    picture.close();
  }
});

async function textsIn(picture, looks) {
  const { width, height } = picture;
  const canvas = new OffscreenCanvas(width, height).getContext("2d", { willReadFrequently: true });
  canvas.drawImage(picture, 0, 0);
  const seen = canvas.getImageData(0, 0, width, height);
  const grey = greyOf(seen.data);
  for (const look of looks) {
    show(seen.data, LOOKS[look](grey, width, height));
    const found = await ZXingWASM.readBarcodes(seen, OPTIONS);
    if (found.length) return found.map(({ text }) => text);
  }
  return [];
}

function greyOf(colours) {
  const grey = new Float32Array(colours.length / 4);
  for (let at = 0, from = 0; at < grey.length; at += 1, from += 4) {
    grey[at] = 0.299 * colours[from] + 0.587 * colours[from + 1] + 0.114 * colours[from + 2];
  }
  return grey;
}

function show(colours, grey) {
  for (let at = 0, to = 0; at < grey.length; at += 1, to += 4) {
    colours[to] = colours[to + 1] = colours[to + 2] = grey[at]; // clamped to 0 ... 255 by its type
  }
}

// The mean over a square of 2 · reach + 1 pixels, by running sums along rows and then columns.
function averaged(grey, width, height, reach) {
  const rows = new Float32Array(grey.length);
  for (let y = 0; y < height; y += 1) along(grey, rows, y * width, 1, width, reach);
  const both = new Float32Array(grey.length);
  for (let x = 0; x < width; x += 1) along(rows, both, x, width, height, reach);
  return both;
}

function along(from, to, start, step, count, reach) {
  const span = 2 * reach + 1;
  const value = (at) => from[start + step * Math.min(count - 1, Math.max(0, at))];
  let sum = 0;
  for (let at = -reach; at <= reach; at += 1) sum += value(at);
  for (let at = 0; at < count; at += 1) {
    to[start + step * at] = sum / span;
    sum += value(at + reach + 1) - value(at - reach);
  }
}
