package app.sidelong

import android.app.Activity
import android.graphics.Bitmap
import android.graphics.Color
import android.graphics.Rect
import android.util.TypedValue
import android.view.View
import android.view.ViewGroup
import android.view.WindowInsets
import android.widget.AdapterView
import android.widget.HorizontalScrollView
import android.widget.ScrollView
import android.widget.TextView

/**
 * What can be checked of a screen without an eye, each complaint a line; none is well.
 *
 * Sources: targets of 48 dp are Android's own recommendation; 4.5:1 and 7:1 are WCAG 2.2, 1.4.3 and 1.4.6, with its relative
 * luminance; 15 mm in gloves, 7:1 in the sun and 12 sp are our own rules, no source.
 */
fun complaints(activity: Activity): List<String> = Check(activity).run {
    val root = activity.window.decorView
    val seen = seenIn(root)
    seen.forEach(::target)
    order(seen)
    each(root, ::text)
    each(root, ::drawn)
    found
}

private class Check(activity: Activity) {
    val found = mutableListOf<String>()
    private val picture = pictureOf(activity)
    private val metrics = activity.resources.displayMetrics
    private val rightToLeft = activity.resources.configuration.layoutDirection == View.LAYOUT_DIRECTION_RTL
    private val free = free(activity.window.decorView)

    private fun pixels(unit: Int, amount: Float) = TypedValue.applyDimension(unit, amount, metrics)

    fun each(view: View, check: (View) -> Unit) {
        if (!view.isShown) return
        check(view)
        if (view is ViewGroup) for (child in 0 until view.childCount) each(view.getChildAt(child), check)
    }

    /** What the system's bars and a notch leave. */
    private fun free(root: View): Rect {
        val taken = root.rootWindowInsets.getInsets(WindowInsets.Type.systemBars() or WindowInsets.Type.displayCutout())
        return Rect(taken.left, taken.top, root.width - taken.right, root.height - taken.bottom)
    }

    fun target(thing: Seen) {
        if (thing.label == null) found += "${thing.name}: no label"
        if (!thing.touchable) return
        // One that scrolls in from the edge is whole once it is there.
        val reach = if (scrolls(thing.view)) thing.bounds else thing.shown
        val gloves = thing.tagged(R.id.in_gloves)
        val needed = if (gloves) pixels(TypedValue.COMPLEX_UNIT_MM, 15f) else pixels(TypedValue.COMPLEX_UNIT_DIP, 48f)
        if (reach.width() < needed - 1 || reach.height() < needed - 1) {
            val (unit, name) = if (gloves) TypedValue.COMPLEX_UNIT_MM to "mm" else TypedValue.COMPLEX_UNIT_DIP to "dp"
            val one = pixels(unit, 1f)
            found += "${thing.name}: touch target of %.1f x %.1f $name".format(reach.width() / one, reach.height() / one)
        }
        if (!scrolls(thing.view) && !free.contains(thing.bounds)) found += "${thing.name}: lies below a bar of the system or off the screen"
    }

    fun order(seen: List<Seen>) = seen.zipWithNext { first, second ->
        // Places of one drawing lie round each other: they are read in the order in which they are walked.
        if (first.view === second.view) return@zipWithNext
        // What is scrolled away stands nowhere now.
        if (first.shown.isEmpty || second.shown.isEmpty) return@zipWithNext
        val (a, b) = first.bounds to second.bounds
        val afterInLine = if (rightToLeft) b.right <= a.left else b.left >= a.right
        val beforeInLine = if (rightToLeft) b.left >= a.right else b.right <= a.left
        val sameLine = b.top < a.bottom && b.bottom > a.top
        if (b.bottom <= a.top && !afterInLine || beforeInLine && sameLine) {
            found += "${second.name}: read after ${first.name}, stands before it"
        }
    }

    /** The platform's own text. */
    fun text(view: View) {
        if (view !is TextView) return
        val layout = view.layout ?: return
        val text = view.text.ifBlank { view.hint ?: "" }
        if (text.isBlank()) return
        val room = view.height - view.compoundPaddingTop - view.compoundPaddingBottom
        val wide = view.width - view.compoundPaddingLeft - view.compoundPaddingRight
        val widest = (0 until layout.lineCount).maxOfOrNull { layout.getLineMax(it) } ?: 0f
        val visible = view.shownBounds
        val off = !scrolls(view) && (visible != view.bounds || !free.contains(visible))
        if (layout.height > room + 1 || widest > wide + 1 || off) found += "${view.said}: text clipped"
        if ((0 until layout.lineCount).any { layout.getEllipsisCount(it) > 0 }) found += "${view.said}: text ellipsized"
        val color = if (view.text.isBlank()) view.currentHintTextColor else view.currentTextColor
        // Of what scrolls in from the edge too little may show to tell its ground.
        if (visible.height() * 2 >= view.height) legible(view, view.said, color, view.textSize, visible)
    }

    /** What a view of ours drew by itself. */
    fun drawn(view: View) {
        if (view is TextView || view is ViewGroup || view.javaClass.name.startsWith("android.") || view.width == 0 || view.height == 0) return
        val told = view.accessibilityNodeProvider != null || !view.contentDescription.isNullOrBlank()
        if (!told && view.importantForAccessibility != View.IMPORTANT_FOR_ACCESSIBILITY_NO) found += "${view.named}: drawn, and without a name"
        val texts = textsDrawnBy(view)
        for (text in texts) {
            val said = "${view.named} “${text.text}”"
            if (text.cut) found += "$said: drawn text clipped"
            if ('…' in text.text) found += "$said: drawn text ellipsized"
            val place = text.bounds.rounded()
            if (!scrolls(view) && !text.cut && !view.shownBounds.contains(place)) found += "$said: drawn text cut off by what is around it"
            legible(view, said, text.color, text.sizePx, place)
        }
        for ((at, one) in texts.withIndex()) for (other in texts.drop(at + 1)) {
            val both = one.bounds.rounded()
            if (both.intersect(other.bounds.rounded()) && both.width() > 1 && both.height() > 1) {
                found += "${view.named}: “${one.text}” and “${other.text}” are drawn over each other"
            }
        }
    }

    private fun legible(view: View, said: String, color: Int, size: Float, place: Rect) {
        if (size < pixels(TypedValue.COMPLEX_UNIT_SP, 12f) - 1) found += "$said: smaller than 12 sp"
        // What cannot be used now may be faint (WCAG 1.4.3, inactive components).
        if (!view.isEnabled) return
        val sun = generateSequence(view) { it.parent as? View }.any { it.getTag(R.id.in_sun) != null }
        val needed = if (sun) 7.0 else 4.5
        val contrast = contrast(color, place) ?: return
        if (contrast < needed) found += "$said: contrast %.1f, needs $needed".format(contrast)
    }

    /** Against the commonest colour below it; none where nothing of it is on the screen. */
    private fun contrast(ink: Int, place: Rect): Double? {
        val part = Rect(place)
        if (!part.intersect(0, 0, picture.width, picture.height)) return null
        val pixels = IntArray(part.width() * part.height())
        picture.getPixels(pixels, 0, part.width(), part.left, part.top, part.width(), part.height())
        val ground = pixels.toList().groupingBy { it }.eachCount().maxBy { it.value }.key
        return contrast(over(ink, ground), ground)
    }

    private fun scrolls(view: View) = generateSequence(view.parent as? View) { it.parent as? View }
        .any { it is ScrollView || it is HorizontalScrollView || it is AdapterView<*> }

    private val TextView.said get() = "$named “${text.ifBlank { hint ?: "" }.toString().replace('\n', ' ').take(40)}”"
}

/** A see-through colour as it looks on a ground. */
private fun over(ink: Int, ground: Int): Int {
    val share = Color.alpha(ink) / 255f
    fun mix(part: (Int) -> Int) = (part(ink) * share + part(ground) * (1 - share)).toInt()
    return Color.rgb(mix(Color::red), mix(Color::green), mix(Color::blue))
}

fun contrast(one: Int, other: Int): Double {
    val (x, y) = listOf(Color.luminance(one) + 0.05, Color.luminance(other) + 0.05)
    return maxOf(x, y) / minOf(x, y)
}
