"""Addresses of jobs, of the technician's pages and of problems."""

from django.urls import path

from shopapp.jobs.views import changes, checks, customer_change, faults, jobs, problems, work

AT_THE_BOAT = "jobs/<int:pk>/work"

urlpatterns = [
    path("jobs/", jobs.jobs, name="jobs"),
    path("jobs/board/", jobs.board, name="board"),
    path("jobs/<int:pk>/put/", jobs.board_put, name="board_put"),
    path("jobs/<int:pk>/risk/", jobs.job_risk, name="job_risk"),
    path("jobs/<int:pk>/comeback/", jobs.job_comeback, name="job_comeback"),
    path("jobs/<int:pk>/cause/", jobs.job_cause, name="job_cause"),
    path("jobs/<int:pk>/change/", changes.change_new, name="change_new"),
    path("changes/<int:pk>/", changes.change, name="change"),
    path("changes/<int:pk>/take/<int:option>/", changes.change_take, name="change_take"),
    path("changes/<int:pk>/line/", changes.change_line, name="change_line"),
    path("changes/<int:pk>/line/<int:place>/off/", changes.change_line_off, name="change_line_off"),
    path("changes/<int:pk>/offer/", changes.change_offer, name="change_offer"),
    path("changes/<int:pk>/yes/", changes.change_yes, name="change_yes"),
    path("changes/<int:pk>/no/", changes.change_no, name="change_no"),
    path("changes/<int:pk>/withdraw/", changes.change_withdraw, name="change_withdraw"),
    path("c/<str:token>/", customer_change.customer_change, name="customer_change"),
    path("c/<str:token>/accept/", customer_change.customer_yes, name="customer_change_yes"),
    path("c/<str:token>/decline/", customer_change.customer_no, name="customer_change_no"),
    path("jobs/mine/", work.mine, name="mine"),
    path("jobs/<int:pk>/", jobs.job, name="job"),
    path("jobs/<int:pk>/move/<slug:after>/", jobs.job_move, name="job_move"),
    path("jobs/<int:pk>/schedule/", jobs.job_schedule, name="job_schedule"),
    path("jobs/<int:pk>/pick/", jobs.job_pick, name="job_pick"),
    path("jobs/<int:pk>/reserve/", jobs.job_reserve, name="job_reserve"),
    path(f"{AT_THE_BOAT}/", work.work, name="work"),
    path(f"{AT_THE_BOAT}/start/", work.work_start, name="work_start"),
    path(f"{AT_THE_BOAT}/steps/<int:step>/", work.work_step, name="work_step"),
    path(f"{AT_THE_BOAT}/steps/<int:step>/back/", work.work_step_back, name="work_step_back"),
    path(f"{AT_THE_BOAT}/faults/", faults.fault_finder, name="fault_finder"),
    path(f"{AT_THE_BOAT}/hold/", work.work_hold, name="work_hold"),
    path(f"{AT_THE_BOAT}/checks/", checks.job_checks_again, name="job_checks_again"),
    path(f"{AT_THE_BOAT}/close/", work.work_close, name="work_close"),
    path("jobs/<int:pk>/problems/add/", problems.problem_add, name="problem_add"),
    path("problems/", problems.problems, name="problems"),
    path("problems/<int:pk>/", problems.problem, name="problem"),
    path("problems/<int:pk>/solve/", problems.problem_solve, name="problem_solve"),
    path("problems/<int:pk>/open/", problems.problem_open, name="problem_open"),
    path("problems/<int:pk>/photo/", problems.problem_photo, name="problem_photo"),
]
