package app.sidelong

import android.graphics.Bitmap
import android.graphics.Canvas
import android.graphics.Matrix
import android.graphics.Paint
import android.graphics.Path
import android.graphics.Rect
import android.graphics.RectF
import android.view.View
import kotlin.math.roundToInt

/**
 * Text that a view of ours drew on its canvas.
 *
 * @param bounds where it stands, in the window's pixels
 * @param cut true when the view clips it away in part
 */
class DrawnText(val text: String, val bounds: RectF, val sizePx: Float, val color: Int, val cut: Boolean)

/** Draws [view] once more on a canvas that listens: a view cannot leave out a text of what it says it draws. */
fun textsDrawnBy(view: View): List<DrawnText> {
    val picture = Bitmap.createBitmap(view.width, view.height, Bitmap.Config.ARGB_8888)
    val canvas = ListeningCanvas(picture)
    view.draw(canvas)
    val at = view.bounds
    canvas.texts.forEach { it.bounds.offset(at.left.toFloat(), at.top.toFloat()) }
    return canvas.texts
}

private class ListeningCanvas(picture: Bitmap) : Canvas(picture) {
    val texts = mutableListOf<DrawnText>()

    private fun heard(text: String, x: Float, y: Float, paint: Paint) {
        if (text.isBlank()) return
        val width = paint.measureText(text)
        val left = when (paint.textAlign) {
            Paint.Align.CENTER -> x - width / 2
            Paint.Align.RIGHT -> x - width
            else -> x
        }
        // What the letters need, not what the line does: an accent above a capital still counts.
        val ink = Rect().also { paint.getTextBounds(text, 0, text.length, it) }
        val bounds = RectF(left, y + ink.top, left + width, y + ink.bottom)
        val clip = RectF(clipBounds)
        val slack = 1f
        val cut = bounds.left < clip.left - slack || bounds.top < clip.top - slack ||
            bounds.right > clip.right + slack || bounds.bottom > clip.bottom + slack
        @Suppress("DEPRECATION")
        val matrix: Matrix = matrix
        matrix.mapRect(bounds)
        texts += DrawnText(text, bounds, matrix.mapRadius(paint.textSize), paint.color, cut)
    }

    override fun drawText(text: String, x: Float, y: Float, paint: Paint) {
        heard(text, x, y, paint)
        super.drawText(text, x, y, paint)
    }

    override fun drawText(text: String, start: Int, end: Int, x: Float, y: Float, paint: Paint) {
        heard(text.substring(start, end), x, y, paint)
        super.drawText(text, start, end, x, y, paint)
    }

    override fun drawText(text: CharSequence, start: Int, end: Int, x: Float, y: Float, paint: Paint) {
        heard(text.substring(start, end), x, y, paint)
        super.drawText(text, start, end, x, y, paint)
    }

    override fun drawText(text: CharArray, index: Int, count: Int, x: Float, y: Float, paint: Paint) {
        heard(String(text, index, count), x, y, paint)
        super.drawText(text, index, count, x, y, paint)
    }

    // A layout of several lines draws its runs through these two.
    override fun drawTextRun(text: CharArray, index: Int, count: Int, contextIndex: Int, contextCount: Int, x: Float, y: Float, isRtl: Boolean, paint: Paint) {
        heard(String(text, index, count), x, y, paint)
        super.drawTextRun(text, index, count, contextIndex, contextCount, x, y, isRtl, paint)
    }

    override fun drawTextRun(text: CharSequence, start: Int, end: Int, contextStart: Int, contextEnd: Int, x: Float, y: Float, isRtl: Boolean, paint: Paint) {
        heard(text.substring(start, end), x, y, paint)
        super.drawTextRun(text, start, end, contextStart, contextEnd, x, y, isRtl, paint)
    }

    override fun drawTextOnPath(text: String, path: Path, hOffset: Float, vOffset: Float, paint: Paint) =
        error("“$text” runs along a path: whether it is whole cannot be told")

    override fun drawTextOnPath(text: CharArray, index: Int, count: Int, path: Path, hOffset: Float, vOffset: Float, paint: Paint) =
        error("“${String(text, index, count)}” runs along a path: whether it is whole cannot be told")
}

fun RectF.rounded() = Rect(left.roundToInt(), top.roundToInt(), right.roundToInt(), bottom.roundToInt())
