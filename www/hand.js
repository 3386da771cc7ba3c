// Hands files to the user: as a download, or through the system's share sheet where the page runs
// from a tablet's home screen, which knows of no downloads.
(() => {
  "use strict";
  const page = (window.evenstroke ??= {});

  // A share sheet that has failed is not asked a second time.
  let sharingFails = false;

  const isOnHomeScreen = () =>
    navigator.standalone === true ||
    (matchMedia("(display-mode: standalone)").matches && matchMedia("(any-pointer: coarse)").matches);
  const cannotDownload = () => !("download" in HTMLAnchorElement.prototype);

  const mayShare = (file) => {
    if (sharingFails || !(isOnHomeScreen() || cannotDownload())) return false;
    try {
      return navigator.canShare({ files: [file] });
    } catch {
      return false;
    }
  };

  const share = async (file) => {
    try {
      await navigator.share({ files: [file], title: file.name });
      return "handed";
    } catch (error) {
      // The user has closed the sheet: nothing went anywhere, and there is nothing to say.
      if (error?.name === "AbortError") return "left";
      sharingFails = true;
      throw "the share sheet did not open; the next try saves a download instead";
    }
  };

  const download = (file) => {
    const address = URL.createObjectURL(file);
    const link = document.createElement("a");
    link.href = address;
    link.download = file.name;
    link.click();
    // The browser has taken the bytes by now, but revoking at once makes some of them drop the
    // download.
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
    return "handed";
  };

  // Where the program has stopped, the job's link is followed unless it has to be shared instead.
  document.getElementById("stopped-save").addEventListener("click", (event) => {
    const file = new File([page.jobText], "job.json", { type: "application/json" });
    if (!mayShare(file)) return;
    event.preventDefault();
    share(file).catch(() => {});
  });

  // `content` is a text, a blob, or a canvas with a picture. Answers "handed", as far as the page can tell, or "left" where
  // the user has thought better of it; fails with words that say why. To be called from the tap
  // itself: share sheets open for nothing else.
  page.handOut = async (name, content, type) => {
    if (content instanceof HTMLCanvasElement) content = await new Promise((done) => content.toBlob(done, type));
    if (content === null) throw "this browser paints no pictures";
    const file = new File([content], name, { type });
    if (mayShare(file)) return share(file);
    try {
      return download(file);
    } catch {
      throw "the browser refused to save the file";
    }
  };
})();
