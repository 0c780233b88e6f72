package app.sidelong.platform

import android.app.AlarmManager
import android.app.NotificationChannel
import android.app.Notification
import android.app.NotificationManager
import android.app.PendingIntent
import android.content.Context
import android.content.Intent
import android.media.AudioAttributes
import android.media.RingtoneManager
import android.net.Uri
import android.os.Build
import app.sidelong.DueReceiver
import app.sidelong.MainActivity
import app.sidelong.R
import app.sidelong.screens.Ringing
import sidelong.core.Alarm
import sidelong.core.AlarmBell

/** What rings when a section is due, and how far the phone lets it. */
interface Bell : AlarmBell {
    val ringing: Ringing

    /** Sets what is still to come once more: an alarm went off, or the phone lets us ring in another way now. */
    fun again()

    /** Rings now, with a line for each section that is due; takes back what it said before when none is. */
    fun ring(due: List<Pair<String, String>>)
}

/**
 * The phone's alarms, by the time that it has been running, which nobody sets back. A few are set at a time, each in a place of
 * its own that the next telling finds again; those behind them are set when one went off.
 */
class PhoneBell(private val context: Context) : Bell {
    private val alarms = context.getSystemService(Context.ALARM_SERVICE) as AlarmManager
    private val notices = context.getSystemService(Context.NOTIFICATION_SERVICE) as NotificationManager

    /** When each is due; null until the notebook has told, while those of the process before are still set. */
    private var due: List<Long>? = null

    override val ringing: Ringing get() = when {
        !notices.areNotificationsEnabled() || notices.getNotificationChannel(CHANNEL)?.importance == NotificationManager.IMPORTANCE_NONE -> Ringing.SILENT
        !exact() -> Ringing.ABOUT
        else -> Ringing.RINGS
    }

    @Synchronized
    override fun set(alarms: List<Alarm>) {
        val now = running()
        due = alarms.map { now + it.inMs.toLong() }.distinct()
        // Whoever recorded something has the clocks before them.
        notices.cancel(NOTICE)
        again()
    }

    @Synchronized
    override fun again() {
        val now = running()
        val coming = due?.filter { it > now } ?: return
        for (place in 0 until PLACES) {
            val at = coming.getOrNull(place)
            val intent = Intent(context, DueReceiver::class.java).setData(Uri.fromParts("due", place.toString(), null))
            val kept = PendingIntent.FLAG_IMMUTABLE or if (at == null) PendingIntent.FLAG_NO_CREATE else PendingIntent.FLAG_UPDATE_CURRENT
            val ring = PendingIntent.getBroadcast(context, place, intent, kept) ?: continue
            if (at != null) wake(at, ring) else { alarms.cancel(ring); ring.cancel() }
        }
    }

    @Guarded
    private fun exact(): Boolean = Build.VERSION.SDK_INT < Build.VERSION_CODES.S || alarms.canScheduleExactAlarms()

    /** To the second where the person allows it; else when the phone next wakes, which may be minutes later. */
    private fun wake(at: Long, ring: PendingIntent) {
        try {
            if (exact()) return alarms.setExactAndAllowWhileIdle(AlarmManager.ELAPSED_REALTIME_WAKEUP, at, ring)
        } catch (_: SecurityException) {
            // Taken away between the question and the call.
        }
        alarms.setAndAllowWhileIdle(AlarmManager.ELAPSED_REALTIME_WAKEUP, at, ring)
    }

    override fun ring(due: List<Pair<String, String>>) {
        if (due.isEmpty()) return notices.cancel(NOTICE)
        notices.createNotificationChannel(channel())
        val open = Intent(context, MainActivity::class.java).setAction(OPEN_CLOCKS).addFlags(Intent.FLAG_ACTIVITY_NEW_TASK)
        val lines = Notification.InboxStyle().also { style -> due.forEach { (where, how) -> style.addLine(context.getString(R.string.line_of, where, how)) } }
        val notice = Notification.Builder(context, CHANNEL)
            .setSmallIcon(R.drawable.ic_due)
            .setContentTitle(due[0].first)
            .setContentText(due[0].second)
            .setStyle(lines)
            .setCategory(Notification.CATEGORY_ALARM)
            .setShowWhen(false)
            .setAutoCancel(true)
            .setContentIntent(PendingIntent.getActivity(context, 0, open, PendingIntent.FLAG_IMMUTABLE or PendingIntent.FLAG_UPDATE_CURRENT))
            .build()
        notices.notify(NOTICE, notice)
    }

    /** Heard at the volume of alarms, because the phone lies on a trolley while both hands are on the car; short, as it may come every minute. */
    private fun channel() = NotificationChannel(CHANNEL, context.getString(R.string.due_channel), NotificationManager.IMPORTANCE_HIGH).apply {
        val alarm = AudioAttributes.Builder().setUsage(AudioAttributes.USAGE_ALARM).setContentType(AudioAttributes.CONTENT_TYPE_SONIFICATION).build()
        setSound(RingtoneManager.getDefaultUri(RingtoneManager.TYPE_NOTIFICATION), alarm)
        enableVibration(true)
        vibrationPattern = longArrayOf(0, 400, 200, 400)
    }

    companion object {
        /** What a touch on the notice asks the window for. */
        const val OPEN_CLOCKS = "app.sidelong.CLOCKS"
        const val CHANNEL = "due"
        const val NOTICE = 1

        /** Alarms that are set at a time. */
        private const val PLACES = 8
    }
}
