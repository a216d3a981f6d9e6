"""Makes the pictures of TestPictureBytes with Pillow (Debian's python3-pil): kinds that Go's encoders do not write."""
from PIL import Image

g = Image.linear_gradient("L").resize((1024, 1024))
c = Image.merge("RGB", (g, g.rotate(90), g.rotate(180)))
c.save("baseline.jpg", quality=30, subsampling=0)
g.save("progressive-grey.jpg", quality=30, progressive=True)
c.save("progressive.jpg", quality=30, progressive=True, subsampling=0)
c.convert("CMYK").save("progressive-cmyk.jpg", quality=30, progressive=True)
c.save("strip.tif", compression="tiff_adobe_deflate", strip_size=1 << 24)
