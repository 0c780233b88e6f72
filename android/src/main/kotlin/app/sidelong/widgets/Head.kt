package app.sidelong.widgets

import android.content.Context
import android.view.View
import android.view.ViewGroup
import android.widget.TextView
import app.sidelong.R
import kotlin.math.max

/**
 * The top of a screen: the way back, what the screen is about, and the wet lock. What it is about stands between the two
 * keys where it fits there in two lines, else below them.
 */
class Head(context: Context, private val ink: Ink, back: (() -> Unit)?, lock: () -> Unit) : ViewGroup(context) {
    private val title: TextView = words(context, ink, Ink.BODY)
    private val back: View? = back?.let { Key(context, ink, context.getString(R.string.back), gloves = false, touched = it) }
    private val lock: View = Key(context, ink, context.getString(R.string.lock), gloves = false, touched = lock)
    private val gap = ink.dp(8)
    private var between = true

    init {
        // In the order in which it is read.
        this.back?.let(::addView)
        addView(title)
        addView(this.lock)
    }

    var text: CharSequence
        get() = title.text
        set(value) { title.text = value; title.visibility = if (value.isEmpty()) View.GONE else View.VISIBLE; requestLayout() }

    override fun onMeasure(widthSpec: Int, heightSpec: Int) {
        val width = MeasureSpec.getSize(widthSpec)
        val free = MeasureSpec.makeMeasureSpec(0, MeasureSpec.UNSPECIFIED)
        val most = MeasureSpec.makeMeasureSpec(width, MeasureSpec.AT_MOST)
        listOfNotNull(back, lock).forEach { it.measure(most, free) }
        val room = width - (back?.measuredWidth ?: 0) - lock.measuredWidth - 2 * gap
        val widest = title.text.split(' ').maxOf { title.paint.measureText(it) }
        between = widest <= room && title.paint.measureText(title.text.toString()) <= room * 1.8f
        val shown = title.visibility != View.GONE
        title.measure(MeasureSpec.makeMeasureSpec(if (between) max(room, 0) else width, MeasureSpec.AT_MOST), free)
        val keys = max(back?.measuredHeight ?: 0, lock.measuredHeight)
        val tall = if (!shown) keys else if (between) max(keys, title.measuredHeight) else keys + title.measuredHeight
        setMeasuredDimension(width, tall)
    }

    override fun onLayout(moved: Boolean, left: Int, top: Int, right: Int, bottom: Int) {
        val keys = max(back?.measuredHeight ?: 0, lock.measuredHeight)
        val line = if (between) height else keys
        back?.let { put(it, 0, (line - it.measuredHeight) / 2) }
        put(lock, width - lock.measuredWidth, (line - lock.measuredHeight) / 2)
        val from = if (between) (back?.let { it.measuredWidth + gap } ?: 0) else 0
        put(title, from, if (between) (height - title.measuredHeight) / 2 else keys)
    }

    /** Lays a part out as read from the start of the line: from the right in a right-to-left language. */
    private fun put(view: View, x: Int, y: Int) {
        val from = if (layoutDirection == LAYOUT_DIRECTION_RTL) width - x - view.measuredWidth else x
        view.layout(from, y, from + view.measuredWidth, y + view.measuredHeight)
    }
}
