package app.sidelong

import android.graphics.Rect
import android.os.Bundle
import android.view.View
import android.view.ViewGroup
import android.view.accessibility.AccessibilityNodeInfo
import android.view.accessibility.AccessibilityNodeProvider
import android.widget.TextView

/**
 * One thing on the screen as a screen reader meets it: a view, or a place that a view drew and told of.
 *
 * @param label what is read out
 * @param bounds where it lies, in the window's pixels
 * @param shown the part of that which is on the screen
 * @param extras what a drawn place tells beside its label
 */
class Seen(
    val view: View,
    val label: String?,
    val bounds: Rect,
    val shown: Rect,
    val touchable: Boolean,
    val enabled: Boolean,
    val place: Int?,
    private val extras: Bundle?,
) {
    /** Whether a screen says so of this thing, or of something that it lies in. */
    fun tagged(tag: Int): Boolean {
        val name = view.resources.getResourceName(tag)
        return extras?.getBoolean(name) == true || generateSequence(view) { it.parent as? View }.any { it.getTag(tag) != null }
    }

    /** For a message: the view's name in its layout, and which of its places. */
    val name: String
        get() = view.named + (place?.let { "#$it" } ?: "") + (label?.let { " “${it.replace('\n', ' ')}”" } ?: "")
}

val View.named: String
    // An id made at run time has no name.
    get() = if (id == View.NO_ID || id ushr 24 == 0) javaClass.simpleName else resources.getResourceEntryName(id)

/** Where a view lies in its window, whether it can be seen there or not. */
val View.bounds: Rect
    get() = IntArray(2).also(::getLocationInWindow).let { (x, y) -> Rect(x, y, x + width, y + height) }

/** The part of a view that nothing around it cuts off; empty when there is none. */
val View.shownBounds: Rect
    get() = Rect().also { if (!getGlobalVisibleRect(it)) it.setEmpty() }

/** Everything in the order in which a screen reader goes through it. */
fun seenIn(root: View): List<Seen> = buildList { look(root, this) }

private fun look(view: View, into: MutableList<Seen>) {
    if (!view.isShown || view.width == 0 || view.height == 0) return
    val provider = view.accessibilityNodeProvider
    if (provider != null) {
        val host = checkNotNull(provider.createAccessibilityNodeInfo(AccessibilityNodeProvider.HOST_VIEW_ID)) { "${view.named} tells nothing of itself" }
        for (place in places(host)) {
            val node = checkNotNull(provider.createAccessibilityNodeInfo(place)) { "${view.named} has no place $place" }
            val bounds = Rect().also(node::getBoundsInScreen)
            val shown = Rect(bounds).apply { if (!intersect(view.shownBounds)) setEmpty() }
            into += Seen(view, label(node), bounds, shown, node.isClickable, node.isEnabled, place, node.extras)
        }
        return
    }
    val node = view.createAccessibilityNodeInfo() ?: return
    val touchable = node.isClickable || view.inClickedRow
    // What is touched as a whole is read as a whole: its own label, or else the texts in it.
    val label = label(node) ?: labelled(view) ?: if (touchable) texts(view) else null
    if (touchable || view !is ViewGroup && (node.isFocusable || view is TextView || label != null)) {
        into += Seen(view, label, view.bounds, view.shownBounds, touchable, node.isEnabled, null, null)
    }
    if (view !is ViewGroup) return
    val inside = ArrayList<View>().also(view::addChildrenForAccessibility)
    for (child in inside) if (!touchable || child.isClickable || child.isFocusable || child is ViewGroup) look(child, into)
}

/** A row of a list is touched through the list. */
private val View.inClickedRow: Boolean
    get() = (parent as? android.widget.AdapterView<*>)?.onItemClickListener != null

private fun label(node: AccessibilityNodeInfo) = (node.contentDescription ?: node.text ?: node.hintText)?.toString()?.takeIf { it.isNotBlank() }

/** A field is named by the text that says it is its label. */
private fun labelled(view: View): String? {
    if (view.id == View.NO_ID) return null
    fun find(of: View): TextView? =
        if (of is TextView && of.labelFor == view.id) of
        else (of as? ViewGroup)?.let { group -> (0 until group.childCount).firstNotNullOfOrNull { find(group.getChildAt(it)) } }
    return find(view.rootView)?.text?.toString()
}

private fun texts(view: View): String? = when (view) {
    is TextView -> view.text.toString().takeIf { it.isNotBlank() }
    is ViewGroup -> (0 until view.childCount).mapNotNull { texts(view.getChildAt(it)) }.joinToString("\n").takeIf { it.isNotEmpty() }
    else -> view.contentDescription?.toString()
}

/** The ids of a drawn view's places: the upper half of what the node keeps of a child. Hidden in the SDK. */
private fun places(host: AccessibilityNodeInfo) = (0 until host.childCount).map { (host.getChildId(it) shr 32).toInt() }
