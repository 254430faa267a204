// A photo made small enough for a weak signal. Drawing it anew leaves all metadata out: position,
// camera, owner, thumbnail. How it was held is drawn into it; when it was taken is told beside it.
import {takenBy} from './photo-exif.js';

export const LONGEST_PX = 1600;
const MOST_BYTES = 2 * 1024 * 1024;
const PREVIEW_PX = 400;
const QUALITIES = [0.8, 0.65, 0.5, 0.35];

/**
 * Return {file, preview, taken}: a JPEG with no side above 1600 px, one with none above 400 px in
 * base64, and the moment it was taken.
 */
export async function shrink(photo) {
  const taken = await takenBy(photo) ?? new Date(photo.lastModified || Date.now());
  const canvas = await drawn(photo);
  const preview = smaller(canvas, PREVIEW_PX).toDataURL('image/jpeg', 0.7).split(',')[1];
  for (const quality of QUALITIES) {
    const body = await new Promise((done) => { canvas.toBlob(done, 'image/jpeg', quality); });
    if (body && (body.size <= MOST_BYTES || quality === QUALITIES.at(-1))) {
      return {file: new File([body], 'photo.jpg', {type: 'image/jpeg'}), preview, taken};
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
  return smaller(image, LONGEST_PX);
}

/** A picture on a canvas with no side above `longest`. [px] */
function smaller(image, longest) {
  const [width, height] = [image.naturalWidth ?? image.width, image.naturalHeight ?? image.height];
  const share = Math.min(1, longest / Math.max(width, height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(width * share));
  canvas.height = Math.max(1, Math.round(height * share));
  const pen = canvas.getContext('2d', {alpha: false});
  pen.imageSmoothingQuality = 'high';
  pen.fillStyle = '#fff';
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas;
}
