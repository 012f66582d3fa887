/**
 * Pictures are made smaller on the device before they are kept or sent: a phone
 * takes larger ones than a weak connection carries. What the camera wrote beside
 * the picture, such as the place, stays behind.
 */

/** The longest side of a picture that is kept, in pixels. */
export const longest_px = 2560;
const quality = 0.85; // of the JPEG: threads and scales of gauges stay readable

/** fitted gives the size of a picture whose longer side is at most so long; none is made larger. */
export function fitted(width: number, height: number, most = longest_px): { width: number; height: number } {
  const by = Math.min(1, most / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * by)), height: Math.max(1, Math.round(height * by)) };
}

/** smaller makes a JPEG of a picture, upright and no longer than is kept; null for what this browser can't open as one. */
export async function smaller(picture: Blob): Promise<Blob | null> {
  try {
    const bitmap = await createImageBitmap(picture, { imageOrientation: "from-image" });
    const size = fitted(bitmap.width, bitmap.height);
    const canvas = document.createElement("canvas");
    canvas.width = size.width;
    canvas.height = size.height;
    const pen = canvas.getContext("2d");
    if (!pen) {
      return null;
    }
    pen.fillStyle = "#fff"; // JPEG knows no see-through
    pen.fillRect(0, 0, size.width, size.height);
    pen.drawImage(bitmap, 0, 0, size.width, size.height);
    bitmap.close();
    return await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
  } catch {
    return null;
  }
}

/** jpegName is the name of a picture once it is a JPEG. */
export const jpegName = (name: string) => `${name.replace(/\.[^.]*$/, "") || "picture"}.jpg`;
