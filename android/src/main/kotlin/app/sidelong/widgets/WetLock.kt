package app.sidelong.widgets

import android.annotation.SuppressLint
import android.content.Context
import android.graphics.Canvas
import android.graphics.Paint
import android.view.Gravity
import android.view.MotionEvent
import android.view.accessibility.AccessibilityNodeInfo
import android.widget.FrameLayout
import android.widget.LinearLayout
import app.sidelong.R

/**
 * Lies over the screen while it rains or a cloth wipes it: no touch reaches what is below. Held for a second with one
 * finger, the key below takes it off; drops and cloths touch in many places or move.
 */
class WetLock(context: Context, private val ink: Ink, private val off: () -> Unit) : FrameLayout(context) {
    private val key = Hold(context)

    init {
        setBackgroundColor(ink.paper)
        isClickable = true
        val text = words(context, ink, Ink.TITLE, context.getString(R.string.wet_locked))
        val why = words(context, ink, Ink.BODY, context.getString(R.string.wet_why), ink.second)
        val column = column(context, ink, text, why)
        column.gravity = Gravity.TOP
        addView(scrolled(context, column), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT).apply { bottomMargin = ink.dp(Ink.GLOVE + 32) })
        addView(key, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT, Gravity.BOTTOM).apply { bottomMargin = ink.dp(16) })
    }

    private inner class Hold(context: Context) : LinearLayout(context) {
        private val text = words(context, ink, Ink.LEAD, context.getString(R.string.wet_hold), ink.onFill)
        private val bar = Paint().apply { color = ink.onFill }
        private var began = 0L
        private val done = Runnable { began = 0; invalidate(); off() }

        init {
            setWillNotDraw(false)
            setBackgroundColor(ink.fill)
            minimumHeight = ink.dp(Ink.GLOVE)
            gravity = Gravity.CENTER
            setPadding(ink.dp(12), ink.dp(12), ink.dp(12), ink.dp(12))
            setTag(R.id.in_gloves, true)
            isClickable = true
            isFocusable = true
            isLongClickable = true
            contentDescription = text.text
            text.importantForAccessibility = IMPORTANT_FOR_ACCESSIBILITY_NO
            addView(text)
        }

        @SuppressLint("ClickableViewAccessibility")
        override fun onTouchEvent(event: MotionEvent): Boolean {
            when (event.actionMasked) {
                MotionEvent.ACTION_DOWN -> { began = event.eventTime; postDelayed(done, HOLD_MS); invalidate() }
                // A second touch, or one that leaves the key, was no hand that holds.
                MotionEvent.ACTION_POINTER_DOWN, MotionEvent.ACTION_UP, MotionEvent.ACTION_CANCEL -> stop()
                MotionEvent.ACTION_MOVE -> if (event.y < 0 || event.y > height || event.x < 0 || event.x > width) stop()
            }
            return true
        }

        private fun stop() { began = 0; removeCallbacks(done); invalidate() }

        override fun onDraw(canvas: Canvas) {
            if (began == 0L) return
            canvas.drawRect(0f, height - ink.dp(6f), width.toFloat(), height.toFloat(), bar)
        }

        // With a screen reader a double tap is no accident of water.
        override fun performAccessibilityAction(action: Int, arguments: android.os.Bundle?): Boolean {
            if (action == AccessibilityNodeInfo.ACTION_CLICK || action == AccessibilityNodeInfo.ACTION_LONG_CLICK) { off(); return true }
            return super.performAccessibilityAction(action, arguments)
        }

        override fun getAccessibilityClassName(): CharSequence = "android.widget.Button"
    }

    companion object {
        /** How long the key is held. */
        const val HOLD_MS = 1_000L
    }
}
