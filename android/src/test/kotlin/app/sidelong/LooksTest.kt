package app.sidelong

import android.graphics.Bitmap
import android.graphics.BitmapFactory
import android.graphics.Color
import java.io.File
import kotlin.math.abs
import kotlin.math.max
import org.junit.Assert.assertEquals
import org.junit.Test
import org.junit.runner.RunWith

/**
 * Every screen in every shape, as a picture beside the one that was looked at and kept. They may differ by a little:
 * `-Dgolden.update=true` keeps the new ones, which are then to be looked at.
 */
@RunWith(ShellRunner::class)
class LooksTest {
    private val kept = File(System.getProperty("sidelong.golden")!!)
    private val out = File(System.getProperty("sidelong.out")!!)
    private val update = System.getProperty("sidelong.golden.update") == "true"

    @Test fun day() = look(Shape.DAY)
    @Test fun night() = look(Shape.NIGHT)
    @Test fun small() = look(Shape.SMALL)
    @Test fun smallNight() = look(Shape.SMALL_NIGHT)
    @Test fun largeType() = look(Shape.LARGE_TYPE)
    @Test fun smallLargeType() = look(Shape.SMALL_LARGE_TYPE)
    @Test fun arabic() = look(Shape.ARABIC)
    @Test fun land() = look(Shape.LAND)
    @Test fun tablet() = look(Shape.TABLET)

    private fun look(shape: Shape) {
        val phone = Phone(shape)
        val wrong = mutableListOf<String>()
        Tour(phone) { name -> compare(phone.picture(), "${shape.name.lowercase().replace('_', '-')}/$name")?.let(wrong::add) }.go()
        phone.close()
        assertEquals(emptyList<String>(), wrong)
    }

    private fun compare(now: Bitmap, name: String): String? {
        // Half the size holds every line and letter, in a quarter of the room.
        val small = Bitmap.createScaledBitmap(now, now.width / 2, now.height / 2, true)
        val file = File(kept, "$name.png")
        File(out, "$name.png").apply { parentFile!!.mkdirs() }.outputStream().use { small.compress(Bitmap.CompressFormat.PNG, 100, it) }
        if (update) {
            file.parentFile!!.mkdirs()
            File(out, "$name.png").copyTo(file, overwrite = true)
            return null
        }
        if (!file.exists()) return "$name: no picture is kept of it"
        val then = BitmapFactory.decodeFile(file.path)
        if (then.width != small.width || then.height != small.height) return "$name: ${small.width}×${small.height}, kept ${then.width}×${then.height}"
        val a = IntArray(small.width * small.height).also { small.getPixels(it, 0, small.width, 0, 0, small.width, small.height) }
        val b = IntArray(a.size).also { then.getPixels(it, 0, small.width, 0, 0, small.width, small.height) }
        val differ = a.indices.count { distance(a[it], b[it]) > FAR }
        return if (differ > a.size * MOST) "$name: ${differ} of ${a.size} pixels differ; see ${out.name}/$name.png" else null
    }

    private fun distance(a: Int, b: Int) =
        max(abs(Color.red(a) - Color.red(b)), max(abs(Color.green(a) - Color.green(b)), abs(Color.blue(a) - Color.blue(b))))

    private companion object {
        /** A pixel differs when a colour of it does by more than this, of 255: more than an edge drawn a little softer. */
        const val FAR = 48

        /** As many pixels may differ: a word that moved by one would be more. */
        const val MOST = 0.002
    }
}
