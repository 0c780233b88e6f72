package app.sidelong

import android.view.MotionEvent
import android.widget.EditText
import android.widget.ListView
import app.sidelong.screens.Names
import java.io.File
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Shadows.shadowOf
import sidelong.core.*

/** Much of it: a list of 2,000 jobs, ten thousand touches anywhere. */
@RunWith(ShellRunner::class)
class ManyTest {
    private lateinit var phone: Phone

    @After
    fun end() = phone.close()

    /** A long list recycles its rows, is flung by touch, and finds a plate. */
    @Test
    fun twoThousandJobs() {
        phone = Phone(seed = 41)
        phone.clock.tick = 1
        Notebooks.ask(phone) { core ->
            for (n in 1..2_000) {
                val job = core.newId()
                core.record(Input(core.newId(), job, null, Act.OpenJob(OpenJob(form = BodyForm.VAN, finish = Finish.SOLID, scope = listOf(Scope.OUTSIDE), plate = "ZZ%04d".format(n)))))
            }
        }
        phone.desk.screen.look()
        phone.settle()
        val list = phone.views().filterIsInstance<ListView>().single()
        assertEquals("with the head of the list", 2_001, list.count)
        assertTrue("recycles: ${list.childCount} rows are made", list.childCount in 3..20)
        val r = phone.rect(list)
        phone.stroke(r.exactCenterX(), r.bottom - 20f, r.exactCenterX(), r.top + 20f)
        shadowOf(android.os.Looper.getMainLooper()).idleFor(java.time.Duration.ofSeconds(3))
        assertTrue("flung to row ${list.firstVisiblePosition}", list.firstVisiblePosition > 0)
        list.setSelection(0)
        phone.settle()
        phone.type("Find a plate, VIN or word", "ZZ1234")
        val rows = phone.screen as app.sidelong.screens.JobsScreen
        assertEquals(listOf("ZZ1234"), rows.jobs.map { it.plate })
    }

    /**
     * Ten thousand touches, strokes, letters, turns of the phone and ends of the process at seeded places: no crash, and a
     * log that verifies whole at the end.
     */
    @Test
    fun tenThousandTouches() {
        phone = Phone(Look.SMALL, seed = 42)
        phone.clock.tick = 700
        val random = java.util.Random(20_260_609)
        var recorded = 0uL
        val visited = mutableMapOf<String, Int>()
        for (n in 1..TOUCHES) {
            visited.merge(phone.screen.page.name, 1, Int::plus)
            if (phone.activity.isFinishing) phone.die()
            if (phone.desk.settings["wet"] != null && random.nextInt(4) == 0) {
                // Taps do not take the wet lock off; a finger that stays does.
                phone.hold(phone.views().filterIsInstance<app.sidelong.widgets.WetLock>().single().let { lock -> phone.views(lock).first { it.isLongClickable } }, 1_200)
                continue
            }
            val root = phone.activity.window.decorView
            val (w, h) = root.width to root.height
            when (val what = random.nextInt(1_000)) {
                // Most touches meet a key, as a hand's do; the others fall anywhere.
                in 0 until 620 -> {
                    val keys = phone.views().filter { it.isClickable && it.isShown && it !is app.sidelong.widgets.CarView }
                    if (keys.isNotEmpty()) phone.touch(keys[random.nextInt(keys.size)]) else phone.touch(random.nextFloat() * w, random.nextFloat() * h)
                }
                in 620 until 800 -> phone.touch(random.nextFloat() * w, random.nextFloat() * h)
                in 800 until 900 -> phone.stroke(random.nextFloat() * w, random.nextFloat() * h, random.nextFloat() * w, random.nextFloat() * h)
                in 900 until 960 -> phone.views().filterIsInstance<EditText>().let { fields -> if (fields.isNotEmpty()) fields[random.nextInt(fields.size)].setText(TEXTS[random.nextInt(TEXTS.size)]) }
                in 960 until 985 -> phone.back()
                in 985 until 992 -> {
                    val asked = shadowOf(phone.activity).nextStartedActivityForResult
                    if (asked != null) phone.answer(asked.requestCode, if (random.nextBoolean()) android.app.Activity.RESULT_OK else android.app.Activity.RESULT_CANCELED)
                }
                in 992 until 996 -> phone.turn(if (what % 2 == 0) Look.LANDSCAPE else Look.SMALL)
                else -> phone.die()
            }
        }
        val check = Notebooks.ask(phone) { it.check(null) }
        recorded = check.total
        println("$TOUCHES touches: $recorded events recorded; pages: ${visited.toSortedMap()}")
        assertEquals(emptyList<FindingView>(), check.findings)
        assertEquals(check.total, check.checked)
        assertTrue("something was recorded: $recorded", recorded > 200uL)
        assertTrue("most pages were seen: ${visited.keys}", visited.size >= 12)
    }

    private companion object {
        const val TOUCHES = 10_000
        val TEXTS = listOf("", "AB12 CDE", "18", "0,8", "-1", "99999999999", "ünïcödé مرحبا 😀", " ", "a\nb", "%%%", "x".repeat(5_000))
    }
}
