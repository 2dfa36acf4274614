// Camera of the scan page. Frames stay in the browser: they are read by the browser itself where it can, and else by the console's own code.

const longestSide = 720; // wide enough for a label held in front of the camera, small enough to be read in a moment
const pauseMs = 120;

let stream = null;
let run = 0;

export async function readsByItself() {
  try {
    return "BarcodeDetector" in window && (await BarcodeDetector.getSupportedFormats()).includes("qr_code");
  } catch {
    return false;
  }
}

// Answers null, or the name of what kept the camera away.
export async function begin(video, owner, own) {
  end();
  if (!navigator.mediaDevices?.getUserMedia) {
    return "insecure";
  }
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } }, audio: false });
    video.srcObject = stream;
    await video.play();
  } catch (fault) {
    end();
    return fault?.name ?? "unknown";
  }
  const mine = ++run;
  stream.getVideoTracks()[0].addEventListener("ended", () => {
    if (mine === run) {
      end();
      owner.invokeMethodAsync("CameraGone");
    }
  });
  look(video, owner, own ? new BarcodeDetector({ formats: ["qr_code"] }) : null, mine);
  return null;
}

export function end() {
  run++;
  stream?.getTracks().forEach(track => track.stop());
  stream = null;
}

async function look(video, owner, detector, mine) {
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  while (mine === run) {
    try {
      if (video.videoWidth > 0) {
        await (detector ? detect(video, owner, detector) : hand(video, owner, canvas, pen));
      }
    } catch {
      // one frame that cannot be read is none lost: the next one comes
    }
    await new Promise(resolve => setTimeout(resolve, pauseMs));
  }
}

async function detect(video, owner, detector) {
  const found = await detector.detect(video);
  if (found.length > 0) {
    await owner.invokeMethodAsync("Seen", found[0].rawValue);
  }
}

async function hand(video, owner, canvas, pen) {
  const scale = Math.min(1, longestSide / Math.max(video.videoWidth, video.videoHeight));
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  pen.drawImage(video, 0, 0, canvas.width, canvas.height);
  const { data } = pen.getImageData(0, 0, canvas.width, canvas.height);
  const grey = new Uint8Array(canvas.width * canvas.height);
  for (let at = 0; at < grey.length; at++) {
    grey[at] = (data[4 * at] * 77 + data[4 * at + 1] * 150 + data[4 * at + 2] * 29) >> 8;
  }
  await owner.invokeMethodAsync("Frame", canvas.width, canvas.height, grey);
}
