package app.sidelong

import app.sidelong.widgets.CarView
import org.junit.Test
import org.junit.runner.RunWith
import sidelong.core.Spot

/** The screens of looks and missed spots: without complaint of the accessibility checker, and as their golden images show them. */
@RunWith(ShellRunner::class)
class LightLooksTest {
    @Test fun phone() = look(Look.PHONE)
    @Test fun night() = look(Look.NIGHT)
    @Test fun smallBigText() = look(Look.SMALL_BIG_TEXT)
    @Test fun arabic() = look(Look.ARABIC)
    @Test fun landscape() = look(Look.LANDSCAPE)

    private fun look(look: Look) {
        val phone = Phone(look)
        phone.looksAsItDid(look.label) { seen -> tour(phone, seen) }
    }

    private fun tour(phone: Phone, seen: (String) -> Unit) {
        fun text(id: Int) = phone.activity.getString(id)
        fun back() = phone.touch(text(R.string.back))
        phone.touch(text(R.string.new_job))
        phone.touch("saloon")
        phone.lookAt("front-left-door")
        phone.touch(text(R.string.say_light))
        for (said in listOf("point lamp", "crouching", "clean", "dark otherwise", "close look", "40 s")) phone.touch(said)
        seen("look-how")
        back()
        seen("look-stand")
        phone.standsBeside("front-left-door")
        seen("look-image")
        phone.touchPanel("front-left-door", Spot(500_000u, 600_000u))
        seen("look-told")
        phone.touch(text(R.string.seen_so_far))
        seen("seen")
        phone.all().filterIsInstance<CarView>().forEach(phone::scrollTo)
        seen("seen-map")
        phone.touch(text(R.string.sun_today))
        seen("sun")
        back()
        back()
        phone.touch(text(R.string.missed_spots))
        seen("spots")
        phone.touch(phone.activity.getString(R.string.found_here, "left front door"))
        val r = phone.rect(phone.car)
        phone.touch(r.exactCenterX(), r.exactCenterY())
        seen("find-spot")
        phone.touch("machine polishing")
        phone.touch("10 min")
        phone.touch("residue")
        seen("spot")
    }
}
