// Photos for a record: read, turned upright and made small by the browser itself, so that the program
// carries no decoder and a job stays a file that is soon read.
(() => {
  "use strict";
  const page = (window.evenstroke ??= {});
  // The largest photos of phones are about half of this.
  const LARGEST_MB = 40;
  // Longest side in pixels and quality, tried in turn until the text is short enough: a tag stays
  // readable in the first ones, and eight such photos leave a job within 3 MB.
  const TRIES = [[1280, 0.8], [1280, 0.6], [1024, 0.6], [800, 0.5], [640, 0.4]];
  const LONGEST = 320_000;

  // Gives the photo as a data URL. What cannot be taken is refused in words.
  page.photo = async (file) => {
    const mb = file.size / 1e6;
    if (mb > LARGEST_MB) throw `Photo: must be at most ${LARGEST_MB} MB, given “${file.name}” of ${mb.toFixed(0)} MB`;
    let picture;
    try {
      picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    } catch {
      throw `Photo: must be a whole picture of a kind that this browser reads, such as JPEG, PNG or WebP, given “${file.name}”`;
    }
    const canvas = document.createElement("canvas");
    let url = "";
    for (const [side, quality] of TRIES) {
      const scale = Math.min(1, side / Math.max(picture.width, picture.height));
      canvas.width = Math.max(1, Math.round(picture.width * scale));
      canvas.height = Math.max(1, Math.round(picture.height * scale));
      const paint = canvas.getContext("2d");
      // JPEG knows nothing transparent.
      paint.fillStyle = "#fff";
      paint.fillRect(0, 0, canvas.width, canvas.height);
      paint.imageSmoothingQuality = "high";
      paint.drawImage(picture, 0, 0, canvas.width, canvas.height);
      url = canvas.toDataURL("image/jpeg", quality);
      if (url.length <= LONGEST) break;
    }
    picture.close();
    return url;
  };
})();
