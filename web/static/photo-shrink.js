// A photo made small enough for a weak signal. Drawing it anew leaves all metadata out: position,
// camera, owner, thumbnail. How it was held is drawn into it; when it was taken is told beside it.
import {takenBy} from './photo-exif.js';

export const LONGEST_PX = 1600;
const MOST_BYTES = 2 * 1024 * 1024;
const QUALITIES = [0.8, 0.65, 0.5, 0.35];

/** Return {file, taken}: a JPEG with no side above 1600 px, and the moment it was taken. */
export async function shrink(photo) {
  const taken = await takenBy(photo) ?? new Date(photo.lastModified || Date.now());
  const canvas = await drawn(photo);
  for (const quality of QUALITIES) {
    const body = await new Promise((done) => { canvas.toBlob(done, 'image/jpeg', quality); });
    if (body && (body.size <= MOST_BYTES || quality === QUALITIES.at(-1))) {
      return {file: new File([body], 'photo.jpg', {type: 'image/jpeg'}), taken};
    }
  }
  throw new Error('This phone could not make the photo smaller. Take it again.');
}

/** The picture upright on a canvas; browsers turn an image as its Exif block says. */
async function drawn(photo) {
  const image = new Image();
  image.src = URL.createObjectURL(photo);
  try {
    await image.decode();
  } catch {
    throw new Error('This file is no picture that this browser can read. Take a photo instead.');
  } finally {
    URL.revokeObjectURL(image.src);
  }
  const share = Math.min(1, LONGEST_PX / Math.max(image.naturalWidth, image.naturalHeight));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(image.naturalWidth * share));
  canvas.height = Math.max(1, Math.round(image.naturalHeight * share));
  const pen = canvas.getContext('2d', {alpha: false});
  pen.imageSmoothingQuality = 'high';
  pen.fillStyle = '#fff';
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas;
}
