package app.sidelong

import android.graphics.Bitmap
import java.awt.image.BufferedImage
import java.io.File
import javax.imageio.ImageIO
import kotlin.math.abs
import kotlin.math.roundToInt
import org.junit.Assert.assertEquals

/** A tour of screens, told the name of each: none may be complained of, and each looks as its golden picture in a folder. */
fun Phone.looksAsItDid(folder: String, tour: (seen: (String) -> Unit) -> Unit) {
    val wrong = mutableListOf<String>()
    tour { name ->
        wrong += complaints(activity).map { "$name: $it" }
        try {
            Golden.check("$folder/$name", picture(), activity.resources.displayMetrics.density)
        } catch (differs: AssertionError) {
            wrong += differs.message ?: "$name differs"
        }
    }
    close()
    assertEquals("", wrong.joinToString("\n"))
}

/**
 * A picture of a screen is held against the one in src/test/golden, at one pixel a dp and with 16 steps a colour: small, and
 * blind to the last bit of smoothing. It is compared in tiles of 8 by 8, each with a tolerance of its own, so that one
 * changed letter shows on a whole screen. `-Dgolden=update` writes them anew; look at them before they are committed.
 */
object Golden {
    private const val TILE = 8

    /** The mean difference of a colour in a tile, of 255, that is let pass: a third of one step in every pixel. */
    private const val TOLERANCE = 6.0

    private val kept = File("src/test/golden")
    private val made = File("target/golden")

    fun check(name: String, picture: Bitmap, density: Float) = check(name, small(picture, density), kept, System.getProperty("golden") == "update")

    fun check(name: String, new: BufferedImage, folder: File, update: Boolean) {
        val file = File(folder, "$name.png")
        if (update) {
            file.parentFile.mkdirs()
            // What is the same but for the tolerance stays as it is, so that a commit shows what changed.
            if (!file.exists() || differences(ImageIO.read(file), new).isNotEmpty()) ImageIO.write(new, "png", file)
            return
        }
        val written = keep("$name-new", new)
        if (!file.exists()) throw AssertionError("no golden image $file; what the screen shows is in $written")
        val old = ImageIO.read(file)
        val tiles = differences(old, new)
        if (tiles.isEmpty()) return
        val shown = keep("$name-difference", marked(new, tiles))
        val first = tiles.take(5).joinToString { (x, y) -> "$x,$y" }
        throw AssertionError(
            "$name: ${old.width}x${old.height} was, ${new.width}x${new.height} is; ${tiles.size} tiles differ, the first at $first dp: see $shown, $written",
        )
    }

    private fun keep(name: String, picture: BufferedImage) = File(made, "$name.png").also {
        it.parentFile.mkdirs()
        ImageIO.write(picture, "png", it)
    }

    /** Where tiles differ, in dp; all of them when the size does. */
    fun differences(old: BufferedImage, new: BufferedImage): List<Pair<Int, Int>> {
        val sameSize = old.width == new.width && old.height == new.height
        return buildList {
            for (y in 0 until new.height step TILE) for (x in 0 until new.width step TILE) {
                if (!sameSize || difference(old, new, x, y) > TOLERANCE) add(x to y)
            }
        }
    }

    private fun difference(old: BufferedImage, new: BufferedImage, left: Int, top: Int): Double {
        val right = minOf(left + TILE, new.width)
        val bottom = minOf(top + TILE, new.height)
        var sum = 0
        for (y in top until bottom) for (x in left until right) {
            val (a, b) = old.getRGB(x, y) to new.getRGB(x, y)
            for (shift in listOf(0, 8, 16)) sum += abs((a shr shift and 0xFF) - (b shr shift and 0xFF))
        }
        return sum / 3.0 / ((right - left) * (bottom - top))
    }

    private fun marked(picture: BufferedImage, tiles: List<Pair<Int, Int>>): BufferedImage {
        val out = BufferedImage(picture.width, picture.height, BufferedImage.TYPE_INT_RGB)
        for (y in 0 until picture.height) for (x in 0 until picture.width) out.setRGB(x, y, picture.getRGB(x, y))
        for ((left, top) in tiles) for (step in 0 until TILE) {
            val ring = listOf(left + step to top, left + step to top + TILE - 1, left to top + step, left + TILE - 1 to top + step)
            for ((x, y) in ring) if (x < out.width && y < out.height) out.setRGB(x, y, 0xFF0000)
        }
        return out
    }

    /** One pixel a dp, each the mean of what it covers. */
    fun small(picture: Bitmap, density: Float): BufferedImage {
        val width = (picture.width / density).roundToInt()
        val height = (picture.height / density).roundToInt()
        val pixels = IntArray(picture.width * picture.height)
        picture.getPixels(pixels, 0, picture.width, 0, 0, picture.width, picture.height)
        val out = BufferedImage(width, height, BufferedImage.TYPE_INT_RGB)
        for (y in 0 until height) for (x in 0 until width) {
            val rows = y * picture.height / height until maxOf((y + 1) * picture.height / height, y * picture.height / height + 1)
            val columns = x * picture.width / width until maxOf((x + 1) * picture.width / width, x * picture.width / width + 1)
            val sums = IntArray(3)
            for (row in rows) for (column in columns) {
                val pixel = pixels[row * picture.width + column]
                for (part in 0..2) sums[part] += pixel shr (8 * part) and 0xFF
            }
            val count = rows.count() * columns.count()
            var rgb = 0
            for (part in 0..2) rgb = rgb or (stepped(sums[part] / count) shl (8 * part))
            out.setRGB(x, y, rgb)
        }
        return out
    }

    private fun stepped(value: Int) = (value + 8) / 17 * 17
}
