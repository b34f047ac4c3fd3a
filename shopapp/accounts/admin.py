"""The back door: the bare records, for the owner of the system only."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.http import HttpRequest

from shopapp.accounts.models import Shop, TaxRate, User

admin.site.site_header = "Back door"
admin.site.site_title = "Back door"
admin.site.index_title = "Bare records: changes here pass by the shop's rules"


def superuser_only(request: HttpRequest) -> bool:
    """Only superusers come in, whatever the staff flag says."""
    return request.user.is_active and request.user.is_superuser


admin.site.has_permission = superuser_only


@admin.register(Shop)
class ShopAdmin(admin.ModelAdmin):
    """Shops."""

    list_display = ["name", "currency", "time_zone"]


@admin.register(User)
class PersonAdmin(UserAdmin):
    """People, with the shop's own fields."""

    list_display = ["username", "full_name", "shop", "role", "is_active"]
    list_filter = ["shop", "role", "is_active"]
    list_select_related = ["shop"]
    fieldsets = [
        *UserAdmin.fieldsets,
        ("Shop", {"fields": ["shop", "role", "full_name", "phone", "must_change_password"]}),
    ]


@admin.register(TaxRate)
class TaxRateAdmin(admin.ModelAdmin):
    """Tax rates."""

    list_display = ["name", "shop", "applies_to", "percent", "valid_from", "valid_until"]
    list_filter = ["shop"]
    list_select_related = ["shop"]
