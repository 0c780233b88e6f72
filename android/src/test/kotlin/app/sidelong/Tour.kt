package app.sidelong

import app.sidelong.screens.Names

/** A way through every screen by touches, with an invented car; `seen` is called at each. */
class Tour(private val phone: Phone, private val seen: (String) -> Unit) {
    /** Words of the chrome in the phone's language. */
    private fun text(id: Int, vararg values: Any): String = phone.activity.getString(id, *values)

    private fun back() = phone.touch(text(R.string.back))

    fun go() {
        seen("jobs-empty")
        phone.touch(text(R.string.new_job))
        phone.type(text(R.string.plate), "AB12 CDE")
        seen("new-job")
        phone.touch("saloon")
        seen("walk-begun")
        phone.touch(text(R.string.how_not_said))
        phone.touch("close look")
        phone.touch("soft light")
        seen("how")
        back()
        repeat(6) { phone.touch(text(R.string.nothing_seen)) }
        phone.touch(text(R.string.could_not_see))
        seen("could-not-see")
        phone.touch("dirt")
        phone.strokeHere(60f, -40f)
        seen("mark")
        phone.touch("scratch")
        seen("walk-marked")
        phone.touch(text(R.string.photo_of_mark))
        seen("photo")
        back()
        phone.touch(text(R.string.all_places))
        seen("places")
        back()
        phone.touch(text(R.string.more))
        seen("job")
        phone.touch(text(R.string.feel_test))
        phone.touch("bare hand")
        seen("feel")
        phone.touch("steady fine grit")
        phone.touch(text(R.string.more))
        phone.touch(text(R.string.thickness))
        for (reading in listOf("112", "108", "115")) {
            reading.forEach { phone.touch(it.toString()) }
            phone.touch(text(R.string.next_reading))
        }
        phone.touch("9")
        seen("thickness")
        phone.touch("7")
        phone.touch(text(R.string.save))
        phone.touch(text(R.string.more))
        phone.touch(text(R.string.owners_answer))
        seen("owner")
        back()
        phone.touch(text(R.string.end_visit))
        phone.touch(text(R.string.report))
        seen("report")
        back()
        while (phone.screen.page.name != Names.JOBS) back()
        seen("jobs")
        phone.touch(text(R.string.new_job))
        phone.type(text(R.string.plate), "AB12 CDE")
        seen("new-job-known")
        back()
        phone.touch(text(R.string.join))
        seen("join")
        back()
        phone.touch(text(R.string.this_phone))
        seen("this-phone")
        back()
        phone.touch(text(R.string.lock))
        seen("wet-lock")
        phone.hold(phone.find(text(R.string.wet_hold))!!, 1_200)
        seen("unlocked")
    }
}
