// When a photo was taken, by its own Exif block (CIPA DC-008, tags 9003 and 9011); null where it
// says nothing. The block is left out of what is kept.

const HEAD_BYTES = 262144;

export async function takenBy(file) {
  try {
    return moment(await blockOf(file));
  } catch {
    return null;  // a damaged block says nothing
  }
}

/** The Exif block of a JPEG: segments by ITU-T T.81, annex B. */
async function blockOf(file) {
  const view = new DataView(await file.slice(0, HEAD_BYTES).arrayBuffer());
  if (view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; view.getUint8(at) === 0xff && view.getUint8(at + 1) !== 0xda; at += 2 + view.getUint16(at + 2)) {
    if (view.getUint8(at + 1) === 0xe1 && view.getUint32(at + 4) === 0x45786966) return new DataView(view.buffer, at + 10);
  }
  return null;
}

function moment(block) {
  if (!block) return null;
  const little = block.getUint16(0) === 0x4949;
  const inner = numberAt(block, entry(block, block.getUint32(4, little), 0x8769, little), little);
  if (!inner) return null;
  const said = /^(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)/.exec(textAt(block, entry(block, inner, 0x9003, little), little));
  if (!said) return null;
  const offset = /^[+-]\d\d:\d\d/.exec(textAt(block, entry(block, inner, 0x9011, little), little))?.[0] ?? '';
  const found = new Date(`${said[1]}-${said[2]}-${said[3]}T${said[4]}${offset}`);
  return Number.isNaN(found.getTime()) ? null : found;
}

/** Where an entry of a directory stands, 0 where there is none: TIFF 6.0, section 2. */
function entry(block, directory, tag, little) {
  for (let number = 0; number < block.getUint16(directory, little); number += 1) {
    const at = directory + 2 + 12 * number;
    if (block.getUint16(at, little) === tag) return at;
  }
  return 0;
}

const numberAt = (block, at, little) => (at ? block.getUint32(at + 8, little) : 0);

function textAt(block, at, little) {
  if (!at) return '';
  const length = block.getUint32(at + 4, little);
  const from = length > 4 ? block.getUint32(at + 8, little) : at + 8;
  return Array.from({length: Math.min(length, 40)}, (_, number) => String.fromCharCode(block.getUint8(from + number))).join('');
}
