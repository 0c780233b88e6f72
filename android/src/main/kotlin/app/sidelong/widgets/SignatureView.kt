package app.sidelong.widgets

import android.annotation.SuppressLint
import android.content.Context
import android.graphics.Canvas
import android.graphics.DashPathEffect
import android.graphics.Paint
import android.graphics.Path
import android.view.MotionEvent
import android.view.View

/** A field to draw a signature in. Strokes are thousandths of the field, so that they outlive rotation and the process. */
class SignatureView(context: Context, ink: Ink) : View(context) {
    /** Called when a stroke is finished. */
    var drawn: (List<List<Int>>) -> Unit = {}

    var strokes: List<List<Int>> = emptyList()
        set(value) { field = value; invalidate() }

    private val now = mutableListOf<Int>()
    private val pen = Paint(Paint.ANTI_ALIAS_FLAG).apply {
        style = Paint.Style.STROKE; strokeCap = Paint.Cap.ROUND; strokeJoin = Paint.Join.ROUND; color = ink.ink; strokeWidth = ink.dp(3f)
    }
    private val frame = Paint(pen).apply { strokeWidth = ink.dp(1f); pathEffect = DashPathEffect(floatArrayOf(ink.dp(4f), ink.dp(3f)), 0f) }
    private val path = Path()

    init { minimumHeight = ink.dp(160) }

    private fun add(x: Float, y: Float) {
        now += (x / width * FULL).toInt().coerceIn(0, FULL)
        now += (y / height * FULL).toInt().coerceIn(0, FULL)
    }

    @SuppressLint("ClickableViewAccessibility") // A signature is drawn, or left out.
    override fun onTouchEvent(event: MotionEvent): Boolean {
        when (event.actionMasked) {
            MotionEvent.ACTION_DOWN -> { parent?.requestDisallowInterceptTouchEvent(true); now.clear() }
            MotionEvent.ACTION_CANCEL, MotionEvent.ACTION_POINTER_DOWN -> { now.clear(); invalidate(); return true }
        }
        for (i in 0 until event.historySize) add(event.getHistoricalX(i), event.getHistoricalY(i))
        add(event.x, event.y)
        if (event.actionMasked == MotionEvent.ACTION_UP && now.isNotEmpty()) {
            strokes = strokes + listOf(now.toList())
            now.clear()
            drawn(strokes)
        }
        invalidate()
        return true
    }

    override fun onMeasure(widthSpec: Int, heightSpec: Int) =
        setMeasuredDimension(MeasureSpec.getSize(widthSpec), minimumHeight)

    override fun onDraw(canvas: Canvas) {
        canvas.drawRect(1f, 1f, width - 1f, height - 1f, frame)
        for (stroke in strokes + listOf(now)) {
            path.rewind()
            for (i in 0 until stroke.size - 1 step 2) {
                val (x, y) = stroke[i] / FULL.toFloat() * width to stroke[i + 1] / FULL.toFloat() * height
                if (i == 0) path.moveTo(x, y) else path.lineTo(x, y)
            }
            canvas.drawPath(path, pen)
        }
    }

    private companion object {
        const val FULL = 1_000
    }
}
