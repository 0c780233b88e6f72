package app.sidelong

import android.app.Activity
import android.content.Context
import android.graphics.Canvas
import android.graphics.Color
import android.graphics.Paint
import android.text.StaticLayout
import android.text.TextPaint
import android.text.TextUtils
import android.view.Gravity
import android.view.View
import android.view.ViewGroup.LayoutParams.MATCH_PARENT
import android.view.ViewGroup.LayoutParams.WRAP_CONTENT
import android.widget.Button
import android.widget.FrameLayout
import android.widget.LinearLayout
import android.widget.TextView
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import org.robolectric.RuntimeEnvironment
import org.robolectric.shadows.Bars

/** Screens that are broken on purpose, each in one way, and what the checker says of each. */
@RunWith(ShellRunner::class)
class AccessibilityTest {
    class Empty : Activity()

    private lateinit var screen: LinearLayout

    private fun dp(count: Int) = (count * screen.resources.displayMetrics.density).toInt()

    /** What the checker says of a screen that [fill] makes. */
    private fun said(look: Look = Look.PHONE, below: Int = 80, fill: LinearLayout.() -> Unit): List<String> {
        RuntimeEnvironment.setQualifiers(look.qualifiers)
        RuntimeEnvironment.setFontScale(look.fontScale)
        Bars.standard()
        val controller = Robolectric.buildActivity(Empty::class.java).create()
        screen = LinearLayout(controller.get()).apply { orientation = LinearLayout.VERTICAL }
        screen.setPadding(0, dp(below), 0, dp(60))
        screen.fill()
        controller.get().setContentView(screen)
        controller.start().postCreate(null).resume().visible()
        return complaints(controller.get()).also { controller.pause().stop().destroy() }
    }

    private fun only(expected: String, said: List<String>) {
        assertEquals("one complaint: $said", 1, said.size)
        assertTrue("$said should be: $expected", Regex(expected).containsMatchIn(said.single()))
    }

    private fun LinearLayout.text(said: String, change: TextView.() -> Unit = {}) = TextView(context).also {
        it.text = said
        it.textSize = 16f
        it.setTextColor(context.getColor(R.color.ink))
        addView(it, MATCH_PARENT, WRAP_CONTENT)
        it.change()
    }

    private fun LinearLayout.button(said: String, wide: Int = 120, high: Int = 60, change: Button.() -> Unit = {}) = Button(context).also {
        it.text = said
        it.isAllCaps = false
        it.minimumHeight = 0
        it.minHeight = 0
        it.minimumWidth = 0
        it.setPadding(0, 0, 0, 0)
        addView(it, dp(wide), dp(high))
        it.change()
    }

    /** A view of ours, 200 by 80 dp, that draws what it is told to. */
    private class Drawn(context: Context, private val paint: Paint, private val draw: Canvas.(Paint) -> Unit) : View(context) {
        override fun onDraw(canvas: Canvas) = canvas.draw(paint)
    }

    private fun LinearLayout.drawn(named: String? = "a drawing", size: Int = 16, draw: Canvas.(Paint) -> Unit) {
        val paint = TextPaint(Paint.ANTI_ALIAS_FLAG).apply { textSize = dp(size).toFloat(); color = context.getColor(R.color.ink) }
        addView(Drawn(context, paint, draw).apply { contentDescription = named }, dp(200), dp(80))
    }

    @Test
    fun `a screen without fault`() = Look.entries.forEach { look ->
        val said = said(look) {
            text("Near side, front door")
            button("Nothing seen", wide = 200, high = 110) { setTag(R.id.in_gloves, true) }
            text("Read in the sun") { setTag(R.id.in_sun, true) }
            drawn(size = (16 * look.fontScale).toInt()) { paint -> drawText("3", dp(10).toFloat(), dp(40).toFloat(), paint) }
        }
        assertEquals(look.label, emptyList<String>(), said)
    }

    @Test
    fun `too small a target`() = only("“Undo”: touch target of 120.0 x 46.\\d dp", said { button("Undo", high = 47) })

    @Test
    fun `a target that is too small in gloves`() {
        // 15 mm are 94.5 of the 160 dp that are an inch.
        only("“Undo”: touch target of 19.\\d x 14.\\d mm", said { button("Undo", high = 93) { setTag(R.id.in_gloves, true) } })
        assertEquals(emptyList<String>(), said { button("Undo", high = 95) { setTag(R.id.in_gloves, true) } })
        only("mm", said { setTag(R.id.in_gloves, true); button("Undo", high = 93) })
    }

    @Test
    fun `a target without a label`() = only("Button: no label", said { button("") })

    @Test
    fun `text that is clipped`() {
        only("“Near side”: text clipped", said { text("Near side") { layoutParams.height = dp(14) } })
        only("“a line that .*”: text clipped", said {
            text("a line that runs on and on and leaves the view on its right side") { setHorizontallyScrolling(true) }
        })
        // The view is whole; what is around it is not.
        only("“Near side”: text clipped", said {
            val frame = FrameLayout(context)
            addView(frame, dp(200), dp(14))
            frame.addView(TextView(context).apply { text = "Near side"; textSize = 16f; setTextColor(Color.BLACK) }, dp(200), dp(40))
        })
    }

    @Test
    fun `text that ends in dots`() = only("text ellipsized", said {
        text("a line that runs on and on and does not fit into the width of this phone") {
            maxLines = 1
            ellipsize = TextUtils.TruncateAt.END
        }
    })

    @Test
    fun `text that is hard to read`() {
        // #777777 on the ground of the day is about 4.3:1, #666666 about 5.5:1.
        only("contrast 4\\.\\d, needs 4.5", said { text("Near side") { setTextColor(Color.rgb(0x77, 0x77, 0x77)) } })
        assertEquals(emptyList<String>(), said { text("Near side") { setTextColor(Color.rgb(0x66, 0x66, 0x66)) } })
        only("contrast 5\\.\\d, needs 7.0", said { setTag(R.id.in_sun, true); text("Near side") { setTextColor(Color.rgb(0x66, 0x66, 0x66)) } })
        only("contrast 1\\.\\d, needs 4.5", said { text("Near side") { setTextColor(Color.argb(30, 0, 0, 0)) } })
        only("smaller than 12 sp", said { text("Near side") { textSize = 11f } })
    }

    @Test
    fun `text below the system's bar`() = only("“Near side”: text clipped", said(below = 0) { text("Near side") })

    @Test
    fun `a target below the system's bar`() =
        assertTrue(said(below = 0) { button("Undo") }.any { "below a bar of the system" in it })

    /** Buttons that lie over the same ground in layers of their own, which is the order they are read in. */
    private fun LinearLayout.layers(vararg places: Pair<String, Int>) {
        val ground = FrameLayout(context)
        addView(ground, MATCH_PARENT, dp(200))
        for ((at, layered) in places.withIndex()) {
            val (said, place) = layered
            val layer = FrameLayout(context)
            // The platform reads what stands higher first: each layer is a little lower than the one before.
            ground.addView(layer, FrameLayout.LayoutParams(MATCH_PARENT, MATCH_PARENT).apply { topMargin = dp(8 * at) })
            layer.addView(Button(context).apply { text = said; isAllCaps = false }, FrameLayout.LayoutParams(dp(120), dp(60), place))
        }
    }

    @Test
    fun `an order that jumps back`() {
        for (look in listOf(Look.PHONE, Look.ARABIC)) {
            assertEquals(look.label, emptyList<String>(), said(look) { layers("first" to Gravity.START, "second" to Gravity.END) })
            only("“first”: read after .*“second”, stands before it", said(look) { layers("second" to Gravity.END, "first" to Gravity.START) })
        }
        only("“above”: read after .*“below”, stands before it", said { layers("below" to Gravity.BOTTOM, "above" to Gravity.TOP) })
    }

    @Test
    fun `a drawing that has no name`() = only("Drawn: drawn, and without a name", said { drawn(named = null) { drawColor(Color.GRAY) } })

    @Test
    fun `drawn text that is not whole`() {
        only("“Near side”: drawn text clipped", said { drawn { paint -> drawText("Near side", dp(170).toFloat(), dp(40).toFloat(), paint) } })
        only("“Near side”: drawn text clipped", said { drawn { paint -> drawText("Near side", dp(10).toFloat(), dp(4).toFloat(), paint) } })
        only("“Near side”: drawn text clipped", said {
            drawn { paint ->
                clipRect(0, 0, dp(40), dp(80))
                drawText("Near side", 0f, dp(40).toFloat(), paint)
            }
        })
        only("“Near side”: drawn text clipped", said {
            drawn { paint ->
                save()
                translate(dp(170).toFloat(), dp(40).toFloat())
                drawText("Near side", 0f, 0f, paint)
                restore()
            }
        })
        only("“Near.*”: drawn text ellipsized", said {
            drawn { paint ->
                val short = TextUtils.ellipsize("Near side, rear door", TextPaint(paint), dp(60).toFloat(), TextUtils.TruncateAt.END)
                drawText(short, 0, short.length, dp(10).toFloat(), dp(40).toFloat(), paint)
            }
        })
        // Six lines where there is room for four; the sixth is not even drawn.
        val lines = said {
            drawn { paint ->
                val text = "one\ntwo\nthree\nfour\nfive\nsix"
                StaticLayout.Builder.obtain(text, 0, text.length, TextPaint(paint), width).build().draw(this)
            }
        }
        assertTrue(lines.toString(), lines.any { "“five”: drawn text clipped" in it } && lines.none { "“three”" in it })
    }

    @Test
    fun `drawn texts over each other, and hard to read`() {
        only("“12” and “13” are drawn over each other", said {
            drawn { paint ->
                drawText("12", dp(20).toFloat(), dp(40).toFloat(), paint)
                drawText("13", dp(30).toFloat(), dp(40).toFloat(), paint)
            }
        })
        only("contrast 2\\.\\d, needs 4.5", said {
            drawn { paint ->
                drawColor(Color.BLACK)
                paint.color = Color.DKGRAY
                drawText("12", dp(20).toFloat(), dp(40).toFloat(), paint)
            }
        })
        // What is large enough at the usual size is too small for one who has asked for twice that.
        only("smaller than 12 sp", said(Look.BIG_TEXT) { drawn(size = 16) { paint -> drawText("12", dp(20).toFloat(), dp(40).toFloat(), paint) } })
    }
}
