package app.sidelong

import android.app.AlarmManager
import android.app.NotificationManager
import android.content.Context
import android.content.Intent
import android.content.pm.PackageManager
import android.os.SystemClock
import app.sidelong.platform.PhoneBell
import app.sidelong.screens.Names
import app.sidelong.screens.Ringing
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Shadows.shadowOf
import org.robolectric.shadows.ShadowAlarmManager
import org.robolectric.shadows.ShadowPendingIntent

/** Alarms and notices of the system: set by elapsed time, rung by what the core says then, and worth nothing to do without. */
@RunWith(ShellRunner::class)
class BellTest {
    init {
        ShadowAlarmManager.setAutoSchedule(false)
        ShadowAlarmManager.setCanScheduleExactAlarms(true)
    }

    private val phone = Phone(clock = HandClock().apply { tick = 0 })
    private val alarms get() = shadowOf(phone.app.getSystemService(Context.ALARM_SERVICE) as AlarmManager)
    private val notices get() = shadowOf(phone.app.getSystemService(Context.NOTIFICATION_SERVICE) as NotificationManager)

    @After
    fun end() {
        ShadowAlarmManager.setCanScheduleExactAlarms(false)
        phone.close()
    }

    private fun due() = alarms.scheduledAlarms.map { it.triggerAtMs - SystemClock.elapsedRealtime() }.sorted()

    /** A first layer on the first section: due after two minutes, late after three. */
    private fun begin() {
        phone.beginWork()
        phone.product("the first layer")
        phone.touch("Applied")
    }

    private fun near(expected: List<Long>, told: List<Long>) {
        assertEquals("$told", expected.size, told.size)
        // Waiting for the core's answer lets the window's own clock run on by some frames.
        for ((one, other) in expected.zip(told)) assertTrue("$told should be $expected", other in one - 2_000..one)
    }

    private fun rings() {
        val next = alarms.scheduledAlarms.minBy { it.triggerAtMs }
        // The core's clock stands while the window's runs on by some frames.
        phone.pass(maxOf(0, next.triggerAtMs - SystemClock.elapsedRealtime()) + 3_000)
        alarms.fireAlarm(next)
        phone.settle()
    }

    @Test
    fun `a section sets its alarms by elapsed time, levelling takes them back`() {
        begin()
        near(listOf(120_000, 180_000), due())
        for (alarm in alarms.scheduledAlarms) {
            assertEquals("nobody sets it back", AlarmManager.ELAPSED_REALTIME_WAKEUP, alarm.type)
            assertTrue(alarm.isAllowWhileIdle)
            assertEquals(ShadowAlarmManager.WINDOW_EXACT, alarm.windowLengthMs)
        }
        phone.pass(60_000)
        phone.touch("Begin a section")
        phone.touch("Applied")
        near(listOf(60_000, 120_000, 180_000), due())
        phone.touch("Levelled")
        near(listOf(120_000, 180_000), due())
        phone.touch("Levelled")
        assertEquals(emptyList<Long>(), due())
    }

    @Test
    fun `more sections than places ring in their turn`() {
        begin()
        repeat(5) {
            phone.pass(7_000)
            phone.touch("Begin a section")
            phone.touch("Applied")
        }
        assertEquals("twelve are to come, eight are set", 8, due().size)
        var rung = 0
        while (alarms.scheduledAlarms.isNotEmpty() && rung < 20) { rings(); rung++ }
        assertTrue("$rung", rung in 6..12)
        assertTrue(phone.open().all { "late" in it.second || "0 s left" in it.second })
    }

    @Test
    fun `what is due is told by a notice that opens the clocks`() {
        begin()
        while (phone.screen.page.name != Names.JOBS) phone.touch("Back")
        rings()
        val notice = notices.getNotification(PhoneBell.NOTICE)
        assertNotNull("a notice", notice)
        val (title, text) = shadowOf(notice).let { it.contentTitle.toString() to it.contentText.toString() }
        assertTrue(title, title.startsWith("AB12 CDE · ") && title.endsWith(", layer 1"))
        assertTrue(text, text.startsWith("due, ") && text.endsWith(" left"))
        val channel = (phone.app.getSystemService(Context.NOTIFICATION_SERVICE) as NotificationManager).getNotificationChannel(PhoneBell.CHANNEL)
        assertTrue("felt and heard", channel.shouldVibrate() && channel.sound != null && channel.importance == NotificationManager.IMPORTANCE_HIGH)
        // The touch on it.
        val open = shadowOf(notice.contentIntent).savedIntent
        phone.opened(open)
        assertEquals(Names.CLOCKS, phone.screen.page.name)
        assertTrue(phone.texts().toString(), phone.has("left"))
        // Late is rung as well, and levelling takes the notice back.
        rings()
        assertTrue(shadowOf(notices.getNotification(PhoneBell.NOTICE)).contentText.toString().endsWith("late"))
        phone.touch("Levelled")
        assertNull(notices.getNotification(PhoneBell.NOTICE))
    }

    @Test
    fun `it rings after a death, and after the phone was started`() {
        begin()
        phone.clock.at.addAndGet(30_000)
        phone.clock.running.addAndGet(30_000)
        phone.die()
        near(listOf(90_000, 150_000), due())
        rings()
        assertNotNull(notices.getNotification(PhoneBell.NOTICE))
        // Started anew: no alarm of the system is left, and the notebook tells the bell.
        phone.touch("Levelled")
        phone.touch("Begin a section")
        phone.touch("Applied")
        phone.clock.boot = "boot-2"
        phone.clock.at.addAndGet(45_000)
        phone.clock.running.set(5_000)
        alarms.scheduledAlarms.toList().forEach { (phone.app.getSystemService(Context.ALARM_SERVICE) as AlarmManager).cancel(it.operation!!) }
        assertEquals(0, due().size)
        phone.desk.end()
        phone.fresh()
        val receivers = phone.app.packageManager.queryBroadcastReceivers(Intent(Intent.ACTION_BOOT_COMPLETED), 0).map { it.activityInfo.name }
        assertEquals(listOf("app.sidelong.StartedReceiver"), receivers)
        StartedReceiver().onReceive(phone.app, Intent(Intent.ACTION_BOOT_COMPLETED))
        phone.settle()
        near(listOf(75_000, 135_000), due())
    }

    @Test
    fun `without the right to ring to the second it rings some time later, and says so`() {
        ShadowAlarmManager.setCanScheduleExactAlarms(false)
        begin()
        assertTrue(alarms.scheduledAlarms.toString(), alarms.scheduledAlarms.size == 2 && alarms.scheduledAlarms.all { it.isAllowWhileIdle && it.windowLengthMs != ShadowAlarmManager.WINDOW_EXACT })
        assertTrue(phone.texts().toString(), phone.has("may ring minutes late"))
        phone.touch("Let it ring")
        assertEquals("android.settings.REQUEST_SCHEDULE_EXACT_ALARM", shadowOf(phone.activity).nextStartedActivity.action)
        // Allowed meanwhile: the same alarms are set to the second, and nothing is said any more.
        ShadowAlarmManager.setCanScheduleExactAlarms(true)
        phone.comesBack()
        assertTrue(alarms.scheduledAlarms.all { it.windowLengthMs == ShadowAlarmManager.WINDOW_EXACT })
        assertFalse(phone.has("minutes late"))
    }

    @Test
    fun `a no to notices is asked for once and leaves the clocks working`() {
        notices.setNotificationsEnabled(false)
        begin()
        val asked = shadowOf(phone.activity).lastRequestedPermission
        assertEquals(listOf("android.permission.POST_NOTIFICATIONS"), asked.requestedPermissions.toList())
        phone.activity.onRequestPermissionsResult(asked.requestCode, asked.requestedPermissions, intArrayOf(PackageManager.PERMISSION_DENIED))
        phone.settle()
        assertTrue(phone.texts().toString(), phone.has("This phone does not ring") && phone.has("due in 2 min"))
        phone.pass(130_000)
        assertTrue(phone.texts().toString(), phone.has("due, 50 s left"))
        phone.touch("Begin a section")
        assertEquals("not asked again by itself", Names.LAYER, phone.screen.page.name)
        phone.touch("Back")
        // By a touch it is asked again; where the system asks no more, its settings are opened.
        phone.touch("Let it ring")
        assertEquals("android.settings.APP_NOTIFICATION_SETTINGS", shadowOf(phone.activity).nextStartedActivity.action)
        notices.setNotificationsEnabled(true)
        phone.comesBack()
        assertEquals(Ringing.RINGS, phone.desk.ringing)
        assertFalse(phone.has("does not ring"))
    }
}
