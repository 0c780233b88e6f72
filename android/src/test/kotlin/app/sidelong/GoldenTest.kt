package app.sidelong

import android.graphics.Bitmap
import android.graphics.Canvas
import android.graphics.Color
import android.graphics.Paint
import java.awt.image.BufferedImage
import java.io.File
import javax.imageio.ImageIO
import org.junit.Assert.assertEquals
import org.junit.Assert.assertThrows
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.rules.TemporaryFolder
import org.junit.runner.RunWith

/** What a golden image lets pass, and what not. */
@RunWith(ShellRunner::class)
class GoldenTest {
    @get:Rule
    val folder = TemporaryFolder()

    private fun plain(change: (BufferedImage) -> Unit = {}) = BufferedImage(60, 40, BufferedImage.TYPE_INT_RGB).also {
        for (y in 0 until 40) for (x in 0 until 60) it.setRGB(x, y, 0xFFFFFF)
        change(it)
    }

    @Test
    fun `the last bit of smoothing passes, a hairline does not`() {
        val old = plain()
        assertEquals(emptyList<Any>(), Golden.differences(old, plain()))
        assertEquals(emptyList<Any>(), Golden.differences(old, plain { it.setRGB(9, 9, 0xEEEEEE) }))
        val line = plain { for (x in 0 until 60) it.setRGB(x, 20, 0xCCCCCC) }
        assertEquals(List(8) { it * 8 to 16 }, Golden.differences(old, line))
        assertEquals("another size differs everywhere", 48, Golden.differences(old, BufferedImage(60, 48, BufferedImage.TYPE_INT_RGB)).size)
    }

    private fun written(text: String): Bitmap = Bitmap.createBitmap(1080, 400, Bitmap.Config.ARGB_8888).also {
        it.eraseColor(Color.WHITE)
        Canvas(it).drawText(text, 100f, 200f, Paint(Paint.ANTI_ALIAS_FLAG).apply { textSize = 16 * 2.625f })
    }

    @Test
    fun `one changed letter is found and shown`() {
        val name = "letter"
        Golden.check(name, Golden.small(written("near side, 12 marks"), 2.625f), folder.root, update = true)
        Golden.check(name, Golden.small(written("near side, 12 marks"), 2.625f), folder.root, update = false)
        val other = Golden.small(written("near side, 13 marks"), 2.625f)
        val told = assertThrows(AssertionError::class.java) { Golden.check(name, other, folder.root, update = false) }.message!!
        val tiles = Golden.differences(ImageIO.read(File(folder.root, "letter.png")), other)
        // The letter is 8 dp wide and stands from 64 to 76 dp down.
        assertTrue(told, "${tiles.size} tiles differ" in told && tiles.size in 1..4 && tiles.all { (x, _) -> x in 80..160 })
        val shown = ImageIO.read(File("target/golden/letter-difference.png"))
        assertEquals(0xFF0000, shown.getRGB(tiles[0].first, tiles[0].second) and 0xFFFFFF)
    }

    @Test
    fun `a screen without a golden image fails, and an update keeps what is the same`() {
        val image = plain()
        assertThrows(AssertionError::class.java) { Golden.check("none", image, folder.root, update = false) }
        Golden.check("one", image, folder.root, update = true)
        val file = File(folder.root, "one.png")
        assertTrue(file.setLastModified(1_000_000))
        Golden.check("one", plain { it.setRGB(9, 9, 0xEEEEEE) }, folder.root, update = true)
        assertEquals(1_000_000, file.lastModified())
        Golden.check("one", plain { for (x in 0 until 60) it.setRGB(x, 20, 0) }, folder.root, update = true)
        assertTrue(file.lastModified() > 1_000_000)
    }
}
