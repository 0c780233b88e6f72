package app.sidelong

import android.app.Activity
import org.junit.Assert.assertEquals
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import sidelong.core.*

/**
 * How long a start and a mark take, printed side by side with an empty activity in one run. On this machine's JVM: a
 * phone is slower in both, and what the system needs to begin a process is in neither. Nothing asserts a time.
 */
@RunWith(ShellRunner::class)
class BenchTest {
    class Empty : Activity()

    private fun ms(work: () -> Unit): Double {
        val began = System.nanoTime()
        work()
        return (System.nanoTime() - began) / 1e6
    }

    private fun median(times: List<Double>) = times.sorted()[times.size / 2]

    @Test
    fun `a start over 35 000 jobs beside an empty activity`() {
        val phone = Phone(seed = 51)
        phone.clock.tick = 1
        for (some in (1..JOBS).chunked(1_000)) Notebooks.ask(phone) { core ->
            for (n in some) {
                core.record(Input(core.newId(), core.newId(), null, Act.OpenJob(OpenJob(form = BodyForm.VAN, finish = Finish.SOLID, scope = listOf(Scope.OUTSIDE), plate = "ZZ%05d".format(n)))))
                if (n % 500 == 0) phone.clock.at.addAndGet(86_400_000)
            }
        }
        val (ours, empty) = mutableListOf<Double>() to mutableListOf<Double>()
        repeat(7) {
            ours += phone.start()
            empty += ms {
                val controller = Robolectric.buildActivity(Empty::class.java).setup()
                pictureOf(controller.get())
                controller.pause().stop().destroy()
            }
        }
        assertEquals(JOBS.toULong(), Notebooks.ask(phone) { it.check(null) }.total)
        println("start to a list over $JOBS jobs: %.0f ms, an empty activity %.0f ms: %.1f x".format(median(ours), median(empty), median(ours) / median(empty)))
        phone.close()
    }

    @Test
    fun `a mark saved and drawn`() {
        val phone = Phone(seed = 52)
        phone.begin("BENCH")
        val (times, drawn) = mutableListOf<Double>() to mutableListOf<Double>()
        repeat(40) {
            phone.strokeHere(30f, 4f)
            val key = phone.find("stone chip")!!
            times += ms { phone.touch(key) }
            drawn += ms { pictureOf(phone.activity) }
        }
        assertEquals(40, phone.walk.now!!.marks.size)
        println("from the touch on its kind to the mark saved and laid out: %.0f ms median of 40, a wait of 20 ms for the frame in it; drawn and copied as a picture: %.0f ms".format(median(times), median(drawn)))
        phone.close()
    }

    private companion object {
        const val JOBS = 35_000
    }
}
