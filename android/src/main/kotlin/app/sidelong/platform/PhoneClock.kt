package app.sidelong.platform

import android.os.SystemClock
import java.io.File
import java.security.SecureRandom
import java.util.TimeZone
import sidelong.core.Clock
import sidelong.core.NotebookException
import sidelong.core.Now
import sidelong.core.Random

/** The phone's clocks: the wall's with its zone, and the one that nobody sets, with the running that it counts from. */
class PhoneClock : Clock {
    override fun now(): Now {
        val at = System.currentTimeMillis()
        val zone = TimeZone.getDefault()
        return Now(
            atMs = at,
            offMin = zone.getOffset(at) / 60_000,
            zone = zone.id,
            boot = boot(),
            monoMs = SystemClock.elapsedRealtime().toULong(),
        )
    }

    /**
     * The kernel's own id of this running. Where a phone does not let us read it, one that lasts as long as this process:
     * then a slip is not taken back after the program was ended, which is the safe side.
     */
    private fun boot(): String = try {
        File("/proc/sys/kernel/random/boot_id").readText().trim().ifEmpty { RUNNING }
    } catch (_: java.io.IOException) {
        RUNNING
    }

    private companion object {
        val RUNNING: String = java.util.UUID.randomUUID().toString()
    }
}

/** How long the phone has been running, sleep included, milliseconds: what its alarms go by. */
fun running(): Long = SystemClock.elapsedRealtime()

/** The phone's random bytes, fit for keys. */
class PhoneRandom : Random {
    private val source = SecureRandom()

    override fun bytes(count: UInt): ByteArray = ByteArray(count.toInt()).also(source::nextBytes)
}
