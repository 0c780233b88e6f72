package app.sidelong

import org.junit.Test
import org.junit.runner.RunWith

/** The screens of surfaces, work, squares and cloths: without complaint of the accessibility checker, and as their golden images show them. */
@RunWith(ShellRunner::class)
class TreatLooksTest {
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
        fun text(id: Int, vararg values: Any) = phone.activity.getString(id, *values)
        fun touch(id: Int) = phone.touch(text(id))
        fun back() = touch(R.string.back)
        // The page comes anew: a key that was touched and stays is not drawn half lit up.
        fun again(by: Int) { touch(by); back() }
        touch(R.string.this_phone)
        touch(R.string.shop)
        seen("shop")
        back()
        back()
        touch(R.string.new_job)
        phone.touch("saloon")
        touch(R.string.more)
        phone.touch("after the wash")
        phone.goTo("bonnet")
        touch(R.string.more)
        touch(R.string.thickness)
        "82".forEach { phone.touch(it.toString()) }
        touch(R.string.save)
        touch(R.string.more)
        touch(R.string.surfaces)
        touch(R.string.agreed_work)
        for (step in listOf("fine clay", "machine polishing", "ceramic coating")) phone.touch(step)
        phone.touch(text(R.string.all_of, "paint"))
        again(R.string.another_place)
        seen("work")
        phone.touch("the owner")
        back()
        touch(R.string.feel_it)
        phone.touch("thin bag")
        phone.touch("steady fine grit")
        seen("surfaces")
        touch(R.string.cloth_fell)
        again(R.string.plan)
        seen("surfaces-fell")
        touch(R.string.looked_nothing)
        touch(R.string.what_it_is)
        seen("surface")
        back()
        touch(R.string.another_step)
        touch(R.string.which_step_done)
        seen("which-step")
        phone.touch("machine compounding")
        seen("step")
        touch(R.string.stop_and_read)
        seen("refused")
        touch(R.string.go_on_refused)
        seen("refused-on")
        back()
        back()
        touch(R.string.cloths)
        phone.touch("wheels")
        seen("cloths")
        back()
        touch(R.string.plan)
        seen("plan")
        back()
        touch(R.string.another_place)
        seen("which-surface")
        phone.touch("roof")
        touch(R.string.test_square)
        phone.type(text(R.string.machine), "orbital, own 12")
        phone.type(text(R.string.pad), "soft foam")
        phone.type(text(R.string.polish), "fine polish")
        phone.touch("3")
        again(R.string.photo_before)
        seen("try-square")
        touch(R.string.tried)
        seen("square")
        touch(R.string.lowest_reading)
        seen("lowest")
    }
}
