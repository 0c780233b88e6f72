package app.sidelong.widgets

import android.content.Context
import android.graphics.Canvas
import android.graphics.DashPathEffect
import android.graphics.Paint
import android.graphics.Path
import android.graphics.Rect
import android.graphics.RectF
import android.graphics.Typeface
import android.os.Bundle
import android.view.MotionEvent
import android.view.View
import android.view.accessibility.AccessibilityEvent
import android.view.accessibility.AccessibilityManager
import android.view.accessibility.AccessibilityNodeInfo
import android.view.accessibility.AccessibilityNodeProvider
import kotlin.math.hypot
import kotlin.math.max
import kotlin.math.min
import sidelong.core.DrawingView
import sidelong.core.LineWeight

/** How a place stands, as it is drawn and spoken. */
class PlaceShown(val panel: String, val name: String, val text: String, val sign: Sign)

/** How a place is drawn; the word stands beside it wherever there is room for reading. */
enum class Sign { NOT_LOOKED, NOTHING_SEEN, COULD_NOT_SEE, MARKS, NONE }

/** A mark where it is drawn, in units of the drawing. */
class MarkShown(val label: String, val x: Float, val y: Float, val toX: Float, val toY: Float)

/**
 * The vehicle as the core draws it. The place one stands at is drawn at least 15 mm large and in the middle; every other
 * place at least 48 dp, because a unit of the core's drawing is never smaller than a dp. A stroke is handed on in units.
 */
class CarView(context: Context, private val ink: Ink) : View(context) {
    /** A finger drew from one point to another, in units. */
    var stroke: (Float, Float, Float, Float) -> Unit = { _, _, _, _ -> }

    /** A screen reader chose a place. */
    var chosen: (String) -> Unit = {}

    /** How far from the place one stands at a touch still means it, in units: what it lacks to 15 mm, and a little. */
    val reach: Float get() {
        val box = at?.let { box(it) } ?: return 0f
        val lacks = ink.dp(Ink.GLOVE.toFloat()) - min(box.width(), box.height()) * scale
        return (max(0f, lacks / 2) + ink.dp(6f)) / scale
    }

    /** True on a screen that only shows. */
    var whole = false

    /** What could have been seen: strokes, each x and y of its ends in units. It closes as looks add directions. */
    var hatching: List<List<Float>> = emptyList()
        set(strokes) { field = strokes; invalidate() }

    private var drawing: DrawingView? = null
    private var at: String? = null
    private var places: List<PlaceShown> = emptyList()
    private var marks: List<MarkShown> = emptyList()
    private var scale = 1f
    private var left = 0f
    private var top = 0f

    private val line = Paint(Paint.ANTI_ALIAS_FLAG).apply { style = Paint.Style.STROKE; color = ink.ink; strokeJoin = Paint.Join.ROUND; strokeCap = Paint.Cap.ROUND }
    private val fill = Paint(Paint.ANTI_ALIAS_FLAG).apply { style = Paint.Style.FILL }
    private val type = Paint(Paint.ANTI_ALIAS_FLAG).apply { color = ink.ink; textSize = ink.sp(Ink.SMALL); typeface = Typeface.create(Typeface.DEFAULT, Typeface.BOLD) }
    private val dots = DashPathEffect(floatArrayOf(ink.dp(1.5f), ink.dp(4f)), 0f)
    private val path = Path()
    private var began: Pair<Float, Float>? = null
    private val trace = mutableListOf<Float>()
    private val labels = mutableListOf<RectF>()
    private val nodes = Nodes()

    init {
        isFocusable = true
        isClickable = true
    }

    /** What is shown from here on. */
    fun show(drawing: DrawingView, at: String?, places: List<PlaceShown>, marks: List<MarkShown>) {
        this.drawing = drawing
        this.at = at
        this.places = places
        this.marks = marks
        place()
        nodes.changed()
        invalidate()
    }

    override fun onSizeChanged(w: Int, h: Int, oldW: Int, oldH: Int) = place()

    /** Chooses the window: the place one stands at in the middle, large enough, and as much round it as there is room. */
    private fun place() {
        val drawing = drawing ?: return
        if (width == 0 || height == 0) return
        val fit = min(width / drawing.width, height / drawing.height)
        val box = at?.let { box(it) }
        if (whole || box == null) {
            scale = fit
            left = (width - drawing.width * scale) / 2
            top = (height - drawing.height * scale) / 2
            return
        }
        val unit = resources.displayMetrics.density
        val room = min(width * 0.9f / max(box.width(), 1f), height * 0.9f / max(box.height(), 1f))
        val large = ink.dp(Ink.GLOVE.toFloat()) / max(min(box.width(), box.height()), 1f)
        // Never below one dp a unit, whatever the place: its neighbours have to be touched too.
        scale = max(max(unit, fit), min(large, max(room, unit)))
        left = window(width - drawing.width * scale, width / 2f - box.centerX() * scale)
        top = window(height - drawing.height * scale, height / 2f - box.centerY() * scale)
    }

    /** Where the drawing begins: in the middle when there is room for all of it, else without empty paper at its ends. */
    private fun window(spare: Float, wanted: Float): Float {
        val margin = ink.dp(24f)
        return if (spare >= 0) spare / 2 else wanted.coerceIn(spare - margin, margin)
    }

    private fun box(panel: String): RectF? {
        val shape = drawing?.places?.firstOrNull { it.panel == panel } ?: return null
        val box = RectF(Float.MAX_VALUE, Float.MAX_VALUE, -Float.MAX_VALUE, -Float.MAX_VALUE)
        for (border in shape.borders) for (i in border.indices step 2) {
            box.left = min(box.left, border[i]); box.right = max(box.right, border[i])
            box.top = min(box.top, border[i + 1]); box.bottom = max(box.bottom, border[i + 1])
        }
        return if (box.left > box.right) null else box
    }

    private fun x(units: Float) = left + units * scale
    private fun y(units: Float) = top + units * scale

    private fun trace(points: List<Float>, closed: Boolean): Path {
        path.rewind()
        for (i in points.indices step 2) {
            if (i == 0) path.moveTo(x(points[0]), y(points[1])) else path.lineTo(x(points[i]), y(points[i + 1]))
        }
        if (closed) path.close()
        return path
    }

    override fun onDraw(canvas: Canvas) {
        val drawing = drawing ?: return
        val shapes = drawing.places.associateBy { it.panel }
        at?.let { shapes[it] }?.let { shape ->
            fill.color = ink.key
            shape.borders.forEach { canvas.drawPath(trace(it, true), fill) }
        }
        for (l in drawing.lines) {
            line.color = if (l.weight == LineWeight.DETAIL) ink.second else ink.ink
            line.strokeWidth = ink.dp(if (l.weight == LineWeight.OUTLINE) 1.6f else 0.7f)
            line.pathEffect = null
            canvas.drawPath(trace(l.points, l.closed), line)
        }
        line.color = ink.ink; line.strokeWidth = ink.dp(0.9f)
        for (stroke in hatching) canvas.drawPath(trace(stroke, false), line)
        for (place in places) {
            val shape = shapes[place.panel] ?: continue
            if (shape.leader.isNotEmpty()) {
                line.strokeWidth = ink.dp(0.7f); line.pathEffect = null
                canvas.drawPath(trace(shape.leader, false), line)
                shape.borders.forEach { canvas.drawPath(trace(it, true), line) }
            }
            if (place.sign == Sign.NOT_LOOKED && place.panel != at) {
                line.strokeWidth = ink.dp(2f); line.pathEffect = dots
                shape.borders.forEach { canvas.drawPath(trace(it, true), line) }
            }
        }
        at?.let { shapes[it] }?.let { shape ->
            line.color = ink.next; line.strokeWidth = ink.dp(4f); line.pathEffect = null
            shape.borders.forEach { canvas.drawPath(trace(it, true), line) }
        }
        line.pathEffect = null
        for (place in places) if (place.panel != at) sign(canvas, place)
        labels.clear()
        marks.forEach { mark(canvas, it) }
        if (trace.size >= 4) {
            line.color = ink.next; line.strokeWidth = ink.dp(5f)
            path.rewind()
            for (i in trace.indices step 2) if (i == 0) path.moveTo(trace[0], trace[1]) else path.lineTo(trace[i], trace[i + 1])
            canvas.drawPath(path, line)
        }
    }

    /** A tick for "nothing seen", a word for "could not see". */
    private fun sign(canvas: Canvas, place: PlaceShown) {
        val box = box(place.panel) ?: return
        // What is seen edge-on is too thin for a sign of its own; its own side shows it.
        if (!whole && min(box.width(), box.height()) * scale < ink.dp(20f)) return
        val (cx, cy) = x(box.centerX()) to y(box.centerY())
        when (place.sign) {
            Sign.NOTHING_SEEN -> {
                val r = ink.dp(6f)
                line.color = ink.ink; line.strokeWidth = ink.dp(2f)
                path.rewind()
                path.moveTo(cx - r, cy); path.lineTo(cx - r / 4, cy + r * 0.8f); path.lineTo(cx + r, cy - r)
                canvas.drawPath(path, line)
            }
            Sign.COULD_NOT_SEE -> if (!whole) text(canvas, place.text.substringAfterLast(": "), cx, cy)
            Sign.NOT_LOOKED, Sign.MARKS, Sign.NONE -> {}
        }
    }

    /** A mark: the stroke, and its number on a short leader line. */
    private fun mark(canvas: Canvas, mark: MarkShown) {
        val (ax, ay) = x(mark.x) to y(mark.y)
        val (bx, by) = x(mark.toX) to y(mark.toY)
        line.color = ink.ink; line.strokeWidth = ink.dp(3f)
        if (hypot(bx - ax, by - ay) < ink.dp(3f)) { fill.color = ink.ink; canvas.drawCircle(ax, ay, ink.dp(3f), fill) } else canvas.drawLine(ax, ay, bx, by, line)
        val side = if (ax < width / 2f) 1 else -1
        // Numbers of marks close together stand round them, so that each can be read.
        val round = listOf(side to -1, -side to -1, side to 1, -side to 1, side to -3, side to 3).map { (across, down) -> ax + across * ink.dp(22f) to ay + down * ink.dp(18f) }
        val (tx, ty) = round.firstOrNull { (x, y) -> box(mark.label, x, y).let { box -> labels.none { RectF.intersects(it, box) } } } ?: round[0]
        labels += box(mark.label, tx, ty)
        line.strokeWidth = ink.dp(1f)
        canvas.drawLine(ax, ay, tx, ty, line)
        text(canvas, mark.label, tx, ty)
    }

    /** Where a text is drawn whose middle is at (x, y), with bare paper beside it, kept within the view. */
    private fun box(text: String, cx: Float, cy: Float): RectF {
        val wide = type.measureText(text)
        val tall = type.descent() - type.ascent()
        val pad = ink.dp(3f)
        val from = (cx - wide / 2).coerceIn(pad, max(pad, width - wide - pad))
        val above = (cy - tall / 2).coerceIn(pad, max(pad, height - tall - pad))
        return RectF(from - pad, above, from + wide + pad, above + tall)
    }

    /** A text on bare paper. */
    private fun text(canvas: Canvas, text: String, cx: Float, cy: Float) {
        if (cx < 0 || cy < 0 || cx > width || cy > height) return
        val box = box(text, cx, cy)
        fill.color = ink.paper
        canvas.drawRect(box, fill)
        type.color = ink.ink
        canvas.drawText(text, box.left + ink.dp(3f), box.top - type.ascent(), type)
    }

    @Suppress("ClickableViewAccessibility") // A click is a place chosen by a screen reader; a finger draws.
    override fun onTouchEvent(event: MotionEvent): Boolean {
        if (whole) return false
        when (event.actionMasked) {
            MotionEvent.ACTION_DOWN -> {
                parent?.requestDisallowInterceptTouchEvent(true)
                began = event.x to event.y
                trace.clear(); trace += event.x; trace += event.y
            }
            MotionEvent.ACTION_MOVE -> { trace += event.x; trace += event.y; invalidate() }
            // A second finger, or a cloth laid on the glass: no stroke was meant.
            MotionEvent.ACTION_POINTER_DOWN, MotionEvent.ACTION_CANCEL -> { began = null; trace.clear(); invalidate() }
            MotionEvent.ACTION_UP -> {
                val from = began
                began = null; trace.clear(); invalidate()
                if (from != null) stroke((from.first - left) / scale, (from.second - top) / scale, (event.x - left) / scale, (event.y - top) / scale)
            }
        }
        return true
    }

    /** Where a place lies in this view, at least 48 dp large; null when it is not in the window. */
    fun bounds(panel: String): Rect? {
        val box = box(panel) ?: return null
        val r = RectF(x(box.left), y(box.top), x(box.right), y(box.bottom))
        val least = ink.dp(if (panel == at) Ink.GLOVE.toFloat() else Ink.TOUCH.toFloat())
        if (r.width() < least) r.inset((r.width() - least) / 2, 0f)
        if (r.height() < least) r.inset(0f, (r.height() - least) / 2)
        if (!r.intersect(0f, 0f, width.toFloat(), height.toFloat())) return null
        return Rect().also { r.roundOut(it) }.takeIf { min(it.width(), it.height()) >= ink.dp(Ink.TOUCH) }
    }

    /** A point of the drawing in this view. */
    fun point(unitsX: Float, unitsY: Float): Pair<Float, Float> = x(unitsX) to y(unitsY)

    override fun getAccessibilityNodeProvider(): AccessibilityNodeProvider = nodes

    /** To a screen reader each place is a button of its own, spoken with what is on record of it. */
    private inner class Nodes : AccessibilityNodeProvider() {
        private var shown: List<PlaceShown> = emptyList()

        fun changed() {
            shown = places
            sendAccessibilityEvent(AccessibilityEvent.TYPE_WINDOW_CONTENT_CHANGED)
        }

        @Suppress("DEPRECATION")
        override fun createAccessibilityNodeInfo(id: Int): AccessibilityNodeInfo? {
            val view = this@CarView
            if (id == HOST_VIEW_ID) return AccessibilityNodeInfo.obtain(view).also { node ->
                view.onInitializeAccessibilityNodeInfo(node)
                node.isClickable = false
                // In the order in which they are walked: places lie round each other, and no line of them is read.
                shown.indices.filter { bounds(shown[it].panel) != null }.forEach { node.addChild(view, it) }
            }
            val place = shown.getOrNull(id) ?: return null
            val bounds = bounds(place.panel) ?: return null
            val at = IntArray(2).also(view::getLocationOnScreen)
            return AccessibilityNodeInfo.obtain(view, id).apply {
                packageName = context.packageName
                className = "android.widget.Button"
                setParent(view)
                contentDescription = if (place.text.isEmpty()) place.name else "${place.name}, ${place.text}"
                isClickable = !whole
                isEnabled = true
                isFocusable = true
                isVisibleToUser = true
                isSelected = place.panel == this@CarView.at
                if (!whole) addAction(AccessibilityNodeInfo.AccessibilityAction.ACTION_CLICK)
                setBoundsInParent(bounds)
                setBoundsInScreen(Rect(bounds).apply { offset(at[0], at[1]) })
            }
        }

        override fun performAction(id: Int, action: Int, arguments: Bundle?): Boolean {
            val place = shown.getOrNull(id) ?: return this@CarView.performAccessibilityAction(action, arguments)
            if (action != AccessibilityNodeInfo.ACTION_CLICK || whole) return false
            chosen(place.panel)
            val manager = context.getSystemService(Context.ACCESSIBILITY_SERVICE) as AccessibilityManager
            if (manager.isEnabled) sendAccessibilityEvent(AccessibilityEvent.TYPE_VIEW_CLICKED)
            return true
        }
    }
}
