package app.sidelong.platform

import android.content.Context
import android.media.AudioManager
import android.media.ToneGenerator
import android.os.VibrationEffect
import android.os.Vibrator

/** A save is felt and heard: short and the same each time; a refusal is longer. */
interface Hands {
    fun saved()
    fun refused()
}

/** The phone's motor and speaker. Without either, or when the person has silenced it, the screen still says it. */
class PhoneHands(private val context: Context) : Hands {
    override fun saved() = give(longArrayOf(0, 35), ToneGenerator.TONE_PROP_ACK)
    override fun refused() = give(longArrayOf(0, 60, 80, 60), ToneGenerator.TONE_PROP_NACK)

    private fun give(pattern: LongArray, tone: Int) {
        @Suppress("DEPRECATION") // Its successor came with Android 12 and does the same.
        val motor = context.getSystemService(Context.VIBRATOR_SERVICE) as? Vibrator
        if (motor?.hasVibrator() == true) motor.vibrate(VibrationEffect.createWaveform(pattern, -1))
        val sound = context.getSystemService(Context.AUDIO_SERVICE) as? AudioManager
        if (sound?.ringerMode == AudioManager.RINGER_MODE_NORMAL) {
            // A phone without a free tone generator throws; a save is still a save.
            try {
                ToneGenerator(AudioManager.STREAM_NOTIFICATION, 40).apply { startTone(tone, 60) }
            } catch (_: RuntimeException) {
                return
            }
        }
    }
}
