"""Makes the pictures that the tests take apart, with a library that is not ours
(Pillow 9.4, python3-pil of Debian 12). Run it here; what it writes is committed.

The scene is four quarters of one colour each: red, green, blue and light grey.
"""
from PIL import Image, TiffImagePlugin

W, H = 48, 32
scene = Image.new("RGB", (W, H))
for x in range(W):
    for y in range(H):
        scene.putpixel((x, y), [[(200, 30, 30), (30, 180, 30)], [(30, 30, 200), (230, 230, 230)]][2 * y // H][2 * x // W])

# As a camera on its side stores it: orientation 6 is upright after a quarter turn
# clockwise, so what is stored was turned a quarter the other way.
side = scene.transpose(Image.Transpose.ROTATE_90)
exif = Image.Exif()
exif[0x0112] = 6
exif[0x010E] = "GPS 52.9812 N 4.0661 W, camera of Tove Marrin"
gps = exif.get_ifd(0x8825)
gps[1], gps[2] = "N", (TiffImagePlugin.IFDRational(52), TiffImagePlugin.IFDRational(58), TiffImagePlugin.IFDRational(52))

side.save("side.jpg", exif=exif, quality=92)
side.save("side-progressive.jpg", exif=exif, quality=92, progressive=True)
side.save("side-444.jpg", exif=exif, quality=92, subsampling=0)
side.save("side.png", exif=exif)
side.save("side.webp", exif=exif, quality=92)
scene.convert("L").save("grey.jpg", quality=92)
scene.convert("CMYK").save("cmyk.jpg", quality=92)
scene.convert("P").save("palette.png")
scene.convert("RGBA").save("clear.webp", quality=92)
a = scene.convert("RGBA")
a.putalpha(Image.new("L", (W, H), 0))
a.save("nothing-seen.png")
# Refused.
scene.save("lossless.webp", lossless=True)
scene.save("moves.webp", save_all=True, append_images=[side.resize((W, H))], duration=100, quality=80)
scene.save("moves.png", save_all=True, append_images=[side.resize((W, H))], duration=100)
scene.save("moves.gif", save_all=True, append_images=[side.resize((W, H))], duration=100)
scene.save("raw.tif")
scene.save("scene.bmp")
scene.save("scene.pdf")
