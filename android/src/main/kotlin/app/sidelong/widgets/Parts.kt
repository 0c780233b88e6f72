package app.sidelong.widgets

import android.content.Context
import android.graphics.Typeface
import android.graphics.drawable.GradientDrawable
import android.graphics.drawable.RippleDrawable
import android.content.res.ColorStateList
import android.text.InputType
import android.view.Gravity
import android.view.View
import android.view.ViewGroup
import android.view.accessibility.AccessibilityNodeInfo
import android.widget.EditText
import android.widget.LinearLayout
import android.widget.ScrollView
import android.widget.TextView
import app.sidelong.R
import kotlin.math.max

/** Shows a part, or leaves its room to the others. */
fun shown(part: View, yes: Boolean) { part.visibility = if (yes) View.VISIBLE else View.GONE }

/** A text to read. */
fun words(context: Context, ink: Ink, size: Float, text: CharSequence = "", colour: Int = ink.ink): TextView =
    TextView(context).apply {
        textSize = size
        setTextColor(colour)
        this.text = text
        textAlignment = View.TEXT_ALIGNMENT_VIEW_START
        if (size >= Ink.LEAD) typeface = Typeface.DEFAULT_BOLD
        setPadding(0, ink.dp(2), 0, ink.dp(2))
        fontFeatureSettings = "tnum"
    }

/** What a key is for. */
enum class Weight {
    /** Your next touch: the one that most people want now. */
    NEXT,

    /** Any other. */
    PLAIN,

    /** One of a list of which one is chosen. */
    CHOICE,
}

/** A key. In gloves it is 15 mm in both directions; otherwise 48 dp. */
class Key(context: Context, private val ink: Ink, text: CharSequence, gloves: Boolean = true, private val weight: Weight = Weight.PLAIN, touched: () -> Unit) :
    TextView(context) {
    private val frame = GradientDrawable().apply { cornerRadius = ink.dp(4f) }

    /** Whether it is the one that is chosen; said by words and by the line, not by colour. */
    var chosen = false
        set(value) { field = value; dress(); isSelected = value }

    init {
        val side = ink.dp(if (gloves) Ink.GLOVE else Ink.TOUCH)
        minHeight = side
        minimumHeight = side
        minimumWidth = side
        minWidth = side
        if (gloves) setTag(R.id.in_gloves, true)
        textSize = if (gloves && weight == Weight.NEXT) Ink.LEAD else Ink.BODY
        gravity = Gravity.CENTER
        isClickable = true
        isFocusable = true
        isAllCaps = false
        setPadding(ink.dp(8), ink.dp(6), ink.dp(8), ink.dp(6))
        if (weight == Weight.NEXT) typeface = Typeface.DEFAULT_BOLD
        this.text = text
        dress()
        background = RippleDrawable(ColorStateList.valueOf(ink.second), frame, null)
        setOnClickListener { touched() }
    }

    private fun dress() {
        val filled = weight == Weight.NEXT || chosen
        frame.setColor(if (filled) ink.fill else ink.key)
        frame.setStroke(ink.dp(if (filled) 3 else 1), if (filled) ink.next else ink.second)
        setTextColor(if (filled) ink.onFill else ink.ink)
    }

    /** The room that its longest word needs. */
    fun least(): Int = max(
        minimumWidth,
        text.split(' ', '\n').maxOf { paint.measureText(it) }.toInt() + 1 + paddingLeft + paddingRight,
    )

    override fun getAccessibilityClassName(): CharSequence = "android.widget.Button"

    override fun onInitializeAccessibilityNodeInfo(info: AccessibilityNodeInfo) {
        super.onInitializeAccessibilityNodeInfo(info)
        if (weight == Weight.CHOICE) {
            info.isCheckable = true
            info.isChecked = chosen
        }
    }
}

/** Keys side by side in equal shares, as many a line as their longest words leave room for. */
class Keys(context: Context, private val ink: Ink, private val most: Int = 4) : ViewGroup(context) {
    private val gap = ink.dp(8)

    private fun shown() = (0 until childCount).map(::getChildAt).filter { it.visibility != GONE }

    private fun lines(width: Int): List<List<View>> {
        val all = shown()
        val least = all.maxOfOrNull { (it as? Key)?.least() ?: 0 } ?: 0
        var fit = (width + gap) / max(1, least + gap)
        fit = fit.coerceIn(1, most)
        return all.chunked(max(1, fit))
    }

    override fun onMeasure(widthSpec: Int, heightSpec: Int) {
        val width = MeasureSpec.getSize(widthSpec)
        var height = 0
        for (line in lines(width)) {
            val share = (width - gap * (line.size - 1)) / line.size
            line.forEach { it.measure(MeasureSpec.makeMeasureSpec(share, MeasureSpec.EXACTLY), MeasureSpec.makeMeasureSpec(0, MeasureSpec.UNSPECIFIED)) }
            val tall = line.maxOf { it.measuredHeight }
            line.forEach { it.measure(MeasureSpec.makeMeasureSpec(share, MeasureSpec.EXACTLY), MeasureSpec.makeMeasureSpec(tall, MeasureSpec.EXACTLY)) }
            height += tall + gap
        }
        setMeasuredDimension(width, max(0, height - gap))
    }

    override fun onLayout(moved: Boolean, left: Int, top: Int, right: Int, bottom: Int) {
        var y = 0
        for (line in lines(width)) {
            var x = 0
            for (child in line) {
                val from = if (layoutDirection == LAYOUT_DIRECTION_RTL) width - x - child.measuredWidth else x
                child.layout(from, y, from + child.measuredWidth, y + child.measuredHeight)
                x += child.measuredWidth + gap
            }
            y += line.maxOf { it.measuredHeight } + gap
        }
    }
}

/** Things below each other. */
fun column(context: Context, ink: Ink, vararg parts: View): LinearLayout = LinearLayout(context).apply {
    orientation = LinearLayout.VERTICAL
    parts.forEach { part ->
        addView(part, LinearLayout.LayoutParams(LinearLayout.LayoutParams.MATCH_PARENT, LinearLayout.LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8) })
    }
}

/** A head above, and what is done in the lower half; where there is more of it than the screen holds, it scrolls. */
fun low(context: Context, ink: Ink, head: View, vararg parts: View): ScrollView {
    val all = column(context, ink, head)
    all.addView(View(context), LinearLayout.LayoutParams(0, 0, 1f))
    all.addView(column(context, ink, *parts))
    all.setPadding(0, 0, 0, ink.dp(8))
    return scrolled(context, all)
}

/** What may be longer than the screen. */
fun scrolled(context: Context, inner: View): ScrollView = ScrollView(context).apply {
    isFillViewport = true
    addView(inner)
}

/** A field to type in, with its name above it. `typed` is called at every change. */
fun field(context: Context, ink: Ink, name: CharSequence, text: String, type: Int = InputType.TYPE_CLASS_TEXT, typed: (String) -> Unit): LinearLayout {
    val label = words(context, ink, Ink.SMALL, name, ink.second)
    val edit = EditText(context).apply {
        textSize = Ink.LEAD
        setTextColor(ink.ink)
        inputType = type
        minimumHeight = ink.dp(Ink.TOUCH)
        setPadding(ink.dp(8), ink.dp(8), ink.dp(8), ink.dp(8))
        background = GradientDrawable().apply { setColor(ink.key); setStroke(ink.dp(1), ink.second); cornerRadius = ink.dp(4f) }
        setText(text)
        contentDescription = null
        hint = null
        id = View.generateViewId()
        addTextChangedListener(object : android.text.TextWatcher {
            override fun beforeTextChanged(before: CharSequence?, at: Int, count: Int, after: Int) {}
            override fun onTextChanged(now: CharSequence?, at: Int, before: Int, count: Int) {}
            override fun afterTextChanged(now: android.text.Editable) = typed(now.toString())
        })
    }
    label.labelFor = edit.id
    return column(context, ink, label, edit)
}
