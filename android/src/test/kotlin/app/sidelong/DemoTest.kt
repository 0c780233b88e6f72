package app.sidelong

import app.sidelong.screens.Names
import java.io.File
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Shadows.shadowOf

/** The demonstration's day, as `sidelong demo` recorded it, on a phone that joins it: from the list to a job. */
@RunWith(ShellRunner::class)
class DemoTest {
    private val phone = Phone(clock = HandClock(HandClock.MORNING + (5 * 60 + 55) * 60_000))

    @After
    fun end() = phone.close()

    @Test
    fun fromTheListToAJob() {
        phone.touch("Join another phone")
        phone.touch("Pick a file")
        phone.give(shadowOf(phone.activity).nextStartedActivityForResult.requestCode, File(System.getProperty("sidelong.demo")!!))
        assertTrue(phone.texts().toString(), phone.has("entries before 0, now"))
        phone.back()
        assertEquals(3, Notebooks.ask(phone) { it.jobs(null, 10u, sidelong.core.Language.EN_GB) }.jobs.size)
        seen("jobs")
        phone.touch(PLATE)
        assertEquals(Names.JOB, phone.screen.page.name)
        seen("job")
        phone.touch(phone.activity.getString(R.string.go_on_walk))
        phone.goTo("front-left-door")
        seen("walk")
        phone.strokeHere(60f, -20f)
        seen("mark")
    }

    private fun seen(name: String) = Golden.check("demo/$name", phone.picture(), phone.activity.resources.displayMetrics.density)

    private companion object {
        /** The muddy SUV (`fixtures/demo/3-suv-arrival.jsonl, its plate put right later`). */
        const val PLATE = "XX26 SUV"
    }
}
