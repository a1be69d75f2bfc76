/* Makes large photos smaller before they are sent, which on a phone at the far end of the shop is felt. What cannot be
   made smaller here is sent as it is: the server draws every photo anew in any case.

   <form> <input type="file" name="photos" multiple data-photos="1600"> </form>   the number: pixels of the longer side
*/
const ENOUGH = 600_000; // bytes; a smaller file is not worth the wait

for (const box of document.querySelectorAll("input[type=file][data-photos]")) {
  box.addEventListener("change", async () => {
    const chosen = [...box.files];
    const smaller = await Promise.all(chosen.map((file) => made_smaller(file, Number(box.dataset.photos))));
    // Others may have been chosen while these were drawn.
    if (smaller.every((file, place) => file === chosen[place]) || box.files.length !== chosen.length) return;
    if (chosen.some((file, place) => file !== box.files[place])) return;
    const list = new DataTransfer();
    smaller.forEach((file) => list.items.add(file));
    box.files = list.files;
  });
}

async function made_smaller(file, side) {
  if (file.size < ENOUGH) return file;
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, side / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    const pen = canvas.getContext("2d");
    pen.fillStyle = "white";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const drawn = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9));
    return drawn && drawn.size < file.size ? new File([drawn], file.name, { type: "image/jpeg" }) : file;
  } catch (unreadable) {
    return file; // the server says what is wrong with it
  }
}
