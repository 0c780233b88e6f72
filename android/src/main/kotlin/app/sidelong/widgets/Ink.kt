package app.sidelong.widgets

import android.content.Context
import android.content.res.Configuration
import android.util.TypedValue

/**
 * Colours and sizes of everything that is drawn. Ink before colour: two accents only, "your next touch" and "stop and
 * read", and both are said in words or line as well. Every pair of ink and ground has a contrast of 7:1 or more
 * (WCAG 2.1, success criterion 1.4.6), which the tests compute.
 */
class Ink(context: Context, strong: Boolean) {
    private val metrics = context.resources.displayMetrics
    val night = context.resources.configuration.uiMode and Configuration.UI_MODE_NIGHT_MASK == Configuration.UI_MODE_NIGHT_YES

    /** The ground. */
    val paper: Int = if (night) (if (strong) 0xFF000000 else 0xFF0C0D0E).toInt() else (if (strong) 0xFFFFFFFF else 0xFFFAFAF6).toInt()

    /** Text and lines. */
    val ink: Int = if (night) (if (strong) 0xFFFFFFFF else 0xFFF2F2EC).toInt() else (if (strong) 0xFF000000 else 0xFF121212).toInt()

    /** Text that comes second; still 7:1. */
    val second: Int = if (strong) ink else (if (night) 0xFFBDBDB5 else 0xFF474740).toInt()

    /** Your next touch. */
    val next: Int = if (night) (if (strong) 0xFFFFFFFF else 0xFFA9D3FF).toInt() else (if (strong) 0xFF000000 else 0xFF0A3F73).toInt()

    /** The ground of a key that is the next touch or is chosen: dark at night, when nothing large is bright. */
    val fill: Int = if (!night) next else (if (strong) 0xFF000000 else 0xFF103454).toInt()

    /** Text on that ground. */
    val onFill: Int = if (night) 0xFFFFFFFF.toInt() else paper

    /** The ground of what has to be read before going on. */
    val stopFill: Int = if (night) 0xFF571A05.toInt() else 0xFF7C1B00.toInt()

    /** Stop and read. */
    val stop: Int = if (night) 0xFFFFC2A8.toInt() else 0xFF7C1B00.toInt()

    /** Bare paper with a little ink: keys and fields. */
    val key: Int = if (night) (if (strong) 0xFF000000 else 0xFF1D1F21).toInt() else (if (strong) 0xFFFFFFFF else 0xFFEDEDE6).toInt()

    fun dp(value: Float): Float = value * metrics.density
    fun dp(value: Int): Int = (value * metrics.density + 0.5f).toInt()
    fun sp(value: Float): Float = TypedValue.applyDimension(TypedValue.COMPLEX_UNIT_SP, value, metrics)

    companion object {
        /** The four sizes of type, sp. */
        const val SMALL = 14f
        const val BODY = 17f
        const val LEAD = 22f
        const val TITLE = 28f

        /** 15 mm at 160 to the inch: what a wet glove hits. */
        const val GLOVE = 95

        /** What a finger hits. */
        const val TOUCH = 48
    }
}
