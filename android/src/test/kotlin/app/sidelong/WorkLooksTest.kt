package app.sidelong

import android.widget.ScrollView
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.shadows.ShadowAlarmManager

/** The screens of the work: without complaint of the accessibility checker, and as their golden images show them. */
@RunWith(ShellRunner::class)
class WorkLooksTest {
    @Test fun phone() = look(Look.PHONE)
    @Test fun night() = look(Look.NIGHT)
    @Test fun small() = look(Look.SMALL)
    @Test fun smallBigText() = look(Look.SMALL_BIG_TEXT)
    @Test fun arabic() = look(Look.ARABIC)

    private fun look(look: Look) {
        ShadowAlarmManager.setAutoSchedule(false)
        ShadowAlarmManager.setCanScheduleExactAlarms(true)
        val phone = Phone(look, clock = HandClock().apply { tick = 0 })
        phone.looksAsItDid(look.label) { seen -> tour(phone, seen) }
    }

    private fun tour(phone: Phone, seen: (String) -> Unit) {
        fun text(id: Int, vararg values: Any) = phone.activity.getString(id, *values)
        fun back() = phone.touch(text(R.string.back))
        phone.beginWork()
        phone.touch(text(R.string.sheets_and_lots))
        phone.touch(text(R.string.own_sheet))
        phone.type(text(R.string.product_name), "Coat C")
        phone.touch("ceramic coating")
        phone.type(text(R.string.figure_dwell), "soon")
        phone.touch(text(R.string.save))
        seen("sheet")
        phone.type(text(R.string.figure_dwell), "2 to 3 min")
        phone.type(text(R.string.figure_rain), "24 h")
        phone.type(text(R.string.figure_air), "10-27")
        phone.touch(text(R.string.save))
        phone.touch(text(R.string.lot_of, "Coat C"))
        phone.type(text(R.string.lot_printed), "K-1042")
        seen("lot")
        phone.touch(text(R.string.save))
        phone.all().filterIsInstance<ScrollView>().forEach { it.scrollTo(0, 0) }
        seen("sheets")
        back()
        phone.touch(text(R.string.conditions))
        for (digit in "29") phone.touch(digit.toString())
        phone.touch(text(R.string.humidity_is, "–"))
        for (digit in "52") phone.touch(digit.toString())
        seen("conditions")
        phone.touch(text(R.string.save))
        seen("conditions-told")
        phone.touch(text(R.string.go_on_anyway))
        phone.touch(text(R.string.begin_section))
        phone.touchPlace("bonnet")
        phone.touch(text(R.string.more_of, text(R.string.part)))
        phone.all().filterIsInstance<ScrollView>().forEach { it.scrollTo(0, 0) }
        seen("layer")
        phone.touch(text(R.string.applied))
        phone.pass(40_000)
        phone.touch(text(R.string.begin_section))
        phone.touchPlace("roof")
        phone.touch(text(R.string.applied))
        phone.pass(85_000)
        phone.touch(text(R.string.begin_section))
        phone.touchPlace("front-left-door")
        phone.touch(text(R.string.whole_car))
        phone.all().filterIsInstance<ScrollView>().forEach { it.scrollTo(0, 0) }
        seen("layer-whole")
        phone.touch(text(R.string.whole_car))
        phone.touch(text(R.string.applied))
        phone.pass(60_000)
        seen("clocks")
        phone.touch(text(R.string.levelled))
        phone.all().filterIsInstance<ScrollView>().forEach { it.scrollTo(0, it.getChildAt(0).height) }
        seen("clocks-late")
        phone.toJob()
        phone.touch(text(R.string.aftercare))
        phone.all().filterIsInstance<ScrollView>().forEach { it.scrollTo(0, 0) }
        seen("aftercare")
        back()
        phone.touch(text(R.string.sheets_and_lots))
        phone.touch(text(R.string.which_cars))
        seen("lots")
        while (phone.screen.page.name != app.sidelong.screens.Names.JOBS) back()
        seen("jobs-open-sections")
    }
}
